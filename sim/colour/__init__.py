"""From the colour asked to the codes on the wire, and what light they give."""
