"""Names and texts of loops for schemathesis: the formats of the API's document, which say what JSON Schema has no keyword for.

Half of them are those of the examples, so that more than 404 and 422 is looked at.
"""

import os
import unicodedata
from datetime import datetime
from pathlib import Path

import schemathesis
from hypothesis import strategies as st

FILES = sorted(Path(os.environ["HALFGLASS_EXAMPLES"]).glob("*.toml"))
EXAMPLES = [path.stem for path in FILES]
TEXTS = [path.read_text("utf-8") for path in FILES]
DEVICES = {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in "123456789¹²³"}


def is_name(text):
    """The rules that the document states for a name, written a second time."""
    return (
        text == unicodedata.normalize("NFC", text).strip()
        and 1 <= len(text) <= 80
        and len(text.encode()) <= 200
        and text[0] not in ".-"
        and text[-1] != "."
        and text.split(".")[0].rstrip().lower() not in DEVICES
    )


# Scripts that have been in Unicode from the start: two libraries of different age agree on them.
LETTERS = st.characters(categories=["Lu", "Ll", "Nd"], max_codepoint=0x0587) | st.characters(
    min_codepoint=0x4E00, max_codepoint=0x9FA5
)
MADE = st.text(LETTERS | st.sampled_from(" -_.()+"), min_size=1, max_size=80).filter(is_name)
NAMES = st.sampled_from(EXAMPLES) | MADE
VERSIONS = st.builds(
    lambda time, milliseconds, digits: f"{time:%Y%m%dT%H%M%S}.{milliseconds:03}Z-{digits}",
    st.datetimes(datetime(2000, 1, 1), datetime(2099, 1, 1)),
    st.integers(0, 999),
    st.text("0123456789abcdef", min_size=12, max_size=12),
)

schemathesis.openapi.format("loop-name", NAMES)
schemathesis.openapi.format("loop-or-version", NAMES | st.builds("{}@{}".format, NAMES, VERSIONS))


@schemathesis.hook("map_path_parameters").apply_to(method="DELETE")
def keep_the_examples(context, path_parameters):
    """Deletes no example: later requests ask for it."""
    if path_parameters and path_parameters.get("name") in EXAMPLES:
        return {**path_parameters, "name": path_parameters["name"] + " of another"}
    return path_parameters


@schemathesis.hook("map_body")
def send_examples(context, body):
    """Sends every other text as one of the examples: what is only rubbish makes no sheets."""
    if isinstance(body, dict) and isinstance(body.get("text"), str) and len(body["text"]) % 2 == 0:
        return {**body, "text": TEXTS[len(body["text"]) // 2 % len(TEXTS)]}
    return body
