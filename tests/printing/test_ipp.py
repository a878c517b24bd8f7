"""The bytes of the protocol, held against the worked examples of its standard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.printing import ipp

PRINTER = "ipp://printer.example.com/ipp/print/pinetree"
SAID = [
    (ipp.CHARSET, "attributes-charset", "utf-8"),
    (ipp.LANGUAGE, "attributes-natural-language", "en-us"),
]
HEAD = (
    "47 0012 617474726962757465732d63686172736574 0005 7574662d38"
    "48 001b 617474726962757465732d6e61747572616c2d6c616e6775616765 0005 656e2d7573"
)
# RFC 8010, A.1: "Print-Job Request".
PRINT_JOB = f"""
0101 0002 00000001 01 {HEAD}
45 000b 7072696e7465722d757269 002c
   6970703a2f2f7072696e7465722e6578616d706c652e636f6d2f6970702f7072696e742f70696e6574726565
42 0008 6a6f622d6e616d65 0006 666f6f626172
22 0016 6970702d6174747269627574652d666964656c697479 0001 01
02 21 0006 636f70696573 0004 00000014
44 0005 7369646573 0013 74776f2d73696465642d6c6f6e672d65646765
03 2521504446 2e2e2e
"""
# RFC 8010, A.2: "Print-Job Response (Successful)".
TAKEN = f"""
0101 0000 00000001 01 {HEAD}
41 000e 7374617475732d6d657373616765 000d 7375636365737366756c2d6f6b
02 21 0006 6a6f622d6964 0004 00000093
45 0007 6a6f622d757269 0030
   6970703a2f2f7072696e7465722e6578616d706c652e636f6d2f6970702f7072696e742f70696e65747265652f313437
23 0009 6a6f622d7374617465 0004 00000003
03
"""


def test_a_job_is_written_as_the_standard_shows_it():
    asked = [
        *SAID,
        (ipp.URI, "printer-uri", PRINTER),
        (ipp.NAME, "job-name", "foobar"),
        (ipp.BOOLEAN, "ipp-attribute-fidelity", True),
    ]
    wanted = [(ipp.INTEGER, "copies", 20), (ipp.KEYWORD, "sides", "two-sided-long-edge")]
    made = ipp.write(ipp.PRINT_JOB, [(ipp.OPERATION, asked), (ipp.JOB, wanted)], b"%!PDF...")
    assert bytes.fromhex(PRINT_JOB) == made


def test_an_answer_is_read_as_the_standard_shows_it():
    answer = ipp.read(bytes.fromhex(TAKEN))
    assert (0, 147, 3) == (answer.code, answer.first("job-id"), answer.first("job-state"))
    assert ["successful-ok"] == answer.texts("status-message")
    assert f"{PRINTER}/147" == answer.first("job-uri")


def test_several_values_of_one_name_stay_together():
    said = [(ipp.KEYWORD, "media-ready", each) for each in ("small", "large")]
    assert ["small", "large"] == ipp.read(ipp.write(0, [(ipp.OPERATION, said)])).texts("media-ready")


def test_what_is_inside_of_a_collection_is_not_taken_for_values_beside_it():
    collection = "34 0009 6d656469612d636f6c 0000 4a 0000 0001 78 21 0000 0004 00000001 37 0000 0000"
    after = "21 0001 79 0004 00000007"
    read = ipp.read(bytes.fromhex(f"0101 0000 00000001 04 {collection} {after} 03"))
    assert {"y": [7]} == read.attributes


def test_text_with_its_language_is_text():
    said = "35 0001 78 000a 0002 6465 0004 6e65696e"
    assert ["nein"] == ipp.read(bytes.fromhex(f"0101 0000 00000001 01 {said} 03")).texts("x")


def test_a_long_title_is_cut_between_letters():
    long = ipp.read(ipp.write(0, [(ipp.OPERATION, [(ipp.NAME, "job-name", "é" * 300)])]))
    assert "é" * 127 == long.first("job-name")


@given(st.binary(max_size=300), st.integers(0, 130))
def test_any_bytes_are_read_or_refused_and_nothing_else(tail, kept):
    for data in (tail, bytes.fromhex(TAKEN)[:kept] + tail):
        try:
            assert isinstance(ipp.read(data), ipp.Message)
        except ipp.NoMessage:
            continue


@pytest.mark.parametrize("length", [0, 1, 7, 8, 9, 60])
def test_an_answer_that_was_cut_off_is_none(length):
    with pytest.raises(ipp.NoMessage):
        ipp.read(bytes.fromhex(TAKEN)[:length])
