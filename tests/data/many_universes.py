"""Many universes of 512 slots to loopback.

`python many_universes.py PORT COUNT HZ SECONDS [AHEAD]`.

Frame k holds k mod 256 in every slot of every universe; prints how many packets it sent. With AHEAD
it waits before frame k until it has read k - AHEAD octets from its standard input, one for each
frame that was heard: then no reader that a loaded machine holds up is sent more than it has room
for, and a frame may be late.
"""

import os
import socket
import sys
import time

from sim.data.packets import DataPacket, data_bytes


def send_many(port: int, count: int, hz: float, seconds: float, ahead: int | None = None) -> int:
    """Send `count` universes, `hz` frames a second; returns the packets sent."""
    packets = [
        bytearray(data_bytes(DataPacket(b"many" + bytes(11), u, 0, bytes(512), "many")))
        for u in range(1, count + 1)
    ]
    frames, heard = round(hz * seconds), 0
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.connect(("127.0.0.1", port))
        begun = time.monotonic()
        for frame in range(frames):
            wait = begun + frame / hz - time.monotonic()
            if wait > 0:
                time.sleep(wait)
            while ahead is not None and frame - heard >= ahead:
                told = os.read(0, 4096)
                if not told:
                    return frame * count  # nobody hears any more
                heard += len(told)
            levels = bytes([frame & 255]) * 512
            for packet in packets:
                packet[111] = frame & 255
                packet[126:] = levels
                made.send(packet)
    return frames * count


if __name__ == "__main__":
    port, count, hz, seconds, *ahead = sys.argv[1:]
    most = int(ahead[0]) if ahead else None
    print(send_many(int(port), int(count), float(hz), float(seconds), most))
