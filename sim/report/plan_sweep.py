"""Many options of many houses, on all cores or a cluster, each kept as soon as it is there.

A *job* is one house, one kind at one density, and a load. Its result is one line of JSON in the
sweep's file, found again by a digest of everything it came from: whoever stops and starts a sweep
loses nothing and waits for nothing twice. What cannot be read or planned is a line like any other.

Workers read the files by the same paths: those of a cluster need the same folder.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layouts.errors import EvenfallError
from layouts.file_names import PARTS
from layouts.files.write import naming

if TYPE_CHECKING:
    from collections.abc import Callable

    from sim.plan.plan import Wanted
    from sim.plan.records import Rules
    from sim.report.plan_options import Option

    Progress = Callable[[float, float], None]

#: Statuses that another try would not change as long as the files stay as they are.
_SETTLED = ("optimal", "bounded", "infeasible")
#: Goes up when a result of today is no longer what the same files would give.
_VERSION = 1


@dataclass(frozen=True)
class Job:
    """One option of one house, by paths and names alone."""

    house: str
    kind: str
    density: float | None = None  # [pixels/m]
    parts: str | None = None  # None: parts.yaml beside the house, or the built-in quantities
    schemes: tuple[str, ...] = ()  # none: every channel full
    brightness: float | None = None
    seconds: float | None = None
    between_c: tuple[float, float] | None = None
    rules: tuple[tuple[str, float], ...] = field(default=())  # of `Rules` that differ

    @property
    def parts_file(self) -> str | None:
        """The file prices are read from, if there is one."""
        beside = Path(self.house).with_name(PARTS)
        return self.parts or (str(beside) if beside.exists() else None)

    @property
    def key(self) -> str:
        """A digest of the files as they are now, of the kind and of all that is asked."""
        from layouts import kinds

        asked = {k: v for k, v in asdict(self).items() if k not in ("house", "parts", "schemes")}
        digest = hashlib.sha256(json.dumps([_VERSION, asked], sort_keys=True).encode())
        digest.update(repr(kinds().get(self.kind)).encode())
        for path in (self.house, self.parts_file, *self.schemes):
            digest.update(_bytes_of(path))
        return digest.hexdigest()[:24]


def jobs_of(
    houses: Iterable[str], kinds: Sequence[str], densities: Sequence[float | None], like: Job
) -> list[Job]:
    """Every house with every kind at every density; all else as in `like`."""
    from dataclasses import replace

    return [
        replace(like, house=house, kind=kind, density=density)
        for house in houses
        for kind in kinds
        for density in densities or (None,)
    ]


def result_of(job: Job, key: str) -> dict[str, Any]:
    """The line of one job. Nothing a file can be wrong in is raised; it is told as `why`."""
    line: dict[str, Any] = {
        "key": key,
        "house": job.house,
        "kind": job.kind,
        "density": job.density,
        "schemes": list(job.schemes),
    }
    try:
        option = _option(job)
    except EvenfallError as error:
        return {**line, "status": "unreadable", "price": None, "why": str(error)}
    except Exception as error:  # a mistake of ours ends this line, and never the sweep
        why = f"a mistake of evenfall: {type(error).__name__}: {error}"
        return {**line, "status": "broken", "price": None, "why": why}
    from sim.report.jsonable import jsonable
    from sim.report.plan_options_json import option_json

    data: dict[str, Any] = jsonable({**line, **option_json(option)})
    return data


def _option(job: Job) -> Option:
    from effects import load_scheme
    from layouts import load_house
    from sim.parts import load_parts, parts_beside
    from sim.report.plan_options import PlannedLoad, chosen, option

    house = load_house(job.house)
    parts = load_parts(job.parts, house) if job.parts else parts_beside(house)
    schemes = tuple(load_scheme(scheme, house) for scheme in job.schemes)
    load = PlannedLoad(schemes, not schemes, job.brightness, job.seconds)
    densities = () if job.density is None else (job.density,)
    (kind,) = chosen([job.kind], densities, house)
    return option(house, load, kind, parts, _wanted(job))


def _wanted(job: Job) -> Wanted:
    from sim.plan.plan import Wanted
    from sim.plan.records import Rules

    rules: Rules = Rules(**dict(job.rules))  # type: ignore[arg-type]
    return Wanted(rules=rules, between_c=job.between_c, anew=True)


def sweep(
    jobs: Sequence[Job],
    out: Path | None = None,
    *,
    cluster: str | None = None,
    workers: int = -1,
    progress: Progress | None = None,
) -> list[dict[str, Any]]:
    """The lines of all `jobs`, in their order; `out` is read for those done and gains the others.

    `cluster` is the address of a Dask scheduler; without one the work is done on `workers` cores,
    −1 for all. KeyboardInterrupt passes through, and what was finished is in `out` by then.
    """
    done = {} if out is None else results_in(out)
    keys = [job.key for job in jobs]
    found = {key: done[key] for key in keys if done.get(key, {}).get("status") in _SETTLED}
    left = {key: job for job, key in zip(jobs, keys, strict=True) if key not in found}
    if progress is not None:
        progress(len(keys) - len(left), len(keys))
    if left:
        with _pool(cluster, min(workers, len(left))) as pool, _appending(out) as keep:
            for number, line in enumerate(pool(list(left.items())), start=1):
                keep(line)
                found[line["key"]] = line
                if progress is not None:
                    progress(len(keys) - len(left) + number, len(keys))
    return [found[key] for key in keys]


@contextmanager
def _pool(cluster: str | None, workers: int) -> Iterator[Any]:
    """(key, job) pairs -> their lines as they come, by joblib on cores or on a Dask cluster."""
    from joblib import Parallel, delayed, parallel_config

    def lines(pairs: list[tuple[str, Job]]) -> Iterator[dict[str, Any]]:
        work = Parallel(return_as="generator_unordered", pre_dispatch="all", batch_size=1)
        yield from work(delayed(result_of)(job, key) for key, job in pairs)

    if cluster is None:
        with parallel_config(backend="loky", n_jobs=workers):
            yield lines
        return
    with _client(cluster) as client, parallel_config(backend="dask", client=client):
        yield lines


@contextmanager
def _client(address: str) -> Iterator[Any]:
    """A connection to a Dask scheduler; raises EvenfallError where there is none."""
    try:
        from distributed import Client
    except ImportError:
        raise EvenfallError(
            "a cluster needs Dask; install it: .venv/bin/pip install '.[cluster]'"
        ) from None
    try:
        client = Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError) as error:
        raise EvenfallError(
            f"no Dask scheduler answers at {address} ({error}); start one with `dask scheduler` "
            "or leave --cluster out"
        ) from None
    try:
        yield client
    finally:
        client.close()


@contextmanager
def _appending(out: Path | None) -> Iterator[Callable[[dict[str, Any]], None]]:
    """Writes lines at the end of a file, each on the disk before the next is waited for."""
    if out is None:
        yield lambda line: None
        return
    written = out.read_bytes() if out.exists() else b""
    with naming(out), out.open("ab", buffering=0) as stream:
        if written and not written.endswith(b"\n"):
            stream.write(b"\n")

        def keep(line: dict[str, Any]) -> None:
            data = (json.dumps(line, ensure_ascii=False, allow_nan=False) + "\n").encode()
            before = stream.tell()
            try:
                while data:
                    data = data[stream.write(data) or 0 :]
            except OSError:
                stream.truncate(before)  # half a line is none
                raise

        yield keep


def results_in(path: Path) -> dict[str, dict[str, Any]]:
    """The lines of a sweep's file by their keys, the last of each; none where there is no file.

    A line torn at the end, by a stop in the middle of writing, is left out. Raises EvenfallError
    for a file that holds anything else.
    """
    if not path.exists():
        return {}
    try:
        texts = path.read_text(encoding="utf-8").split("\n")
    except (OSError, UnicodeDecodeError) as error:
        raise EvenfallError(f"{path}: cannot be read: {error}") from None
    found = {}
    for number, text in enumerate(texts, start=1):
        if not text.strip():
            continue
        try:
            line = json.loads(text)
            found[line["key"]] = {**line, "status": line["status"]}
        except (ValueError, TypeError, KeyError):
            if text.startswith('{"key": "') or number == len(texts):
                continue  # torn
            raise EvenfallError(
                f"{path}:{number}:1: no line of a sweep; name a file of a sweep, or a new one"
            ) from None
    return found


def _bytes_of(path: str | None) -> bytes:
    """Length and content, so that no two lists of files are alike; of a missing file a mark."""
    if path is None:
        return b"-"
    try:
        data = Path(path).read_bytes()
    except OSError:
        return b"missing"
    return b"%d:" % len(data) + data
