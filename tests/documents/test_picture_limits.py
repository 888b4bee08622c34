"""What a picture may cost: by its size, by the memory and the time of the process that draws it."""

import os
import struct
import subprocess
import sys
from functools import partial

import pytest
from PIL import Image

from service.documents import photographs, picture_drawing
from service.documents.photographs import LONGEST_SIDE, UnusablePicture
from service.documents.picture_drawing import draw_anew
from tests.documents.sent_pictures import (
    LARGEST,
    jpeg_of,
    needs_heic,
    png,
    told_exif,
    two_halves,
    written,
)  # fmt: skip

clean_photograph = partial(draw_anew, longest=LONGEST_SIDE)


def sos_of(sent):
    return sent.count(b"\xff\xda")


@pytest.mark.parametrize(
    ("options", "largest", "beyond", "told"),
    [
        ({}, (16_000, 12_500), (16_000, 12_501), "A JPEG may have at most 200 mega"),
        # Two bytes a sample; with colours at half the size there are one and a half to a point.
        ({"progressive": True}, (10_000, 10_000), (10_000, 10_001), "JPEG may have at most 100 m"),
        ({"progressive": True, "subsampling": 0}, (10_000, 5_000), (10_000, 5_001), "50 mega"),
    ],
)
def test_a_jpeg_may_measure_what_its_kind_can_be_read_at(options, largest, beyond, told):
    with pytest.raises(UnusablePicture, match=told) as refusal:
        clean_photograph(jpeg_of(beyond, **options))
    assert refusal.value.code == "picture-too-large"

    clean = clean_photograph(jpeg_of(largest, **options))
    assert max(clean.width, clean.height) == LONGEST_SIDE


def test_a_plain_jpeg_in_several_scans_counts_as_one_that_is_held_whole():
    """Baseline, yet each colour in a scan of its own: no part is whole before the last."""
    sent = jpeg_of((10_000, 10_001))
    at = sent.index(b"\xff\xda")
    alone = b"\xff\xda" + struct.pack(">HB", 8, 1) + sent[at + 5 : at + 7] + b"\0\x3f\0"

    with pytest.raises(UnusablePicture, match="at most 100 megapixels"):
        clean_photograph(sent[:at] + alone + sent[at + 14 :])


def test_a_jpeg_whose_colours_have_no_samples_is_damaged():
    sent = bytearray(jpeg_of((16, 16), progressive=True))
    for colour in range(3):
        sent[sent.index(b"\xff\xc2") + 11 + 3 * colour] = 0

    with pytest.raises(UnusablePicture, match="damaged"):
        clean_photograph(bytes(sent))


@pytest.mark.parametrize("progressive", [False, True])
def test_a_large_jpeg_cut_short_is_refused_though_it_is_read_at_a_part_of_its_size(progressive):
    noisy = Image.effect_noise((900, 600), 80).convert("RGB").resize((9000, 6000))
    sent = written(noisy, progressive=progressive)
    assert clean_photograph(sent).width == LONGEST_SIDE

    for share in (0.1, 0.5, 0.9):
        with pytest.raises(UnusablePicture, match="damaged or was cut short"):
            clean_photograph(sent[: int(len(sent) * share)])


def test_a_side_may_be_so_long_and_no_longer():
    clean = clean_photograph(png((32_768, 1), bytes(4097)))
    assert (clean.width, clean.height) == (LONGEST_SIDE, 1)

    for size in ((32_769, 1), (1, 32_769)):
        with pytest.raises(UnusablePicture, match="32768 pixels along one side"):
            clean_photograph(png(size, bytes(size[0] // 8 + 1)))


def test_a_jpeg_of_a_thousand_scans_is_refused_unread():
    """Each scan costs the whole picture: 90 kB of them took half a minute to read."""
    ordinary = written(two_halves(), progressive=True)
    assert 5 <= sos_of(ordinary) <= 12  # what cameras and editors write

    with pytest.raises(UnusablePicture, match="takes too much to read") as refusal:
        clean_photograph(jpeg_of((8000, 6000), scans=1000, progressive=True))
    assert refusal.value.code == "picture-too-large"


@pytest.mark.skipif(not os.path.exists("/proc/self/status"), reason="asks Linux for the memory")
@pytest.mark.parametrize("kind", LARGEST)
def test_the_largest_of_each_kind_is_drawn_within_its_memory(kind):
    """The program as it is run, but that it tells at its end how much it came to hold."""
    if kind == "heic":
        needs_heic()
    program = (
        "import runpy, sys; path = sys.argv[1]; sys.argv = [path, '2048'];"
        "runpy.run_path(path, run_name='__main__');"
        "sys.stderr.write(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"
    )
    ran = subprocess.run(
        [sys.executable, "-P", "-c", program, picture_drawing.__file__],
        input=LARGEST[kind](), capture_output=True, check=True,
    )  # fmt: skip

    assert b'"width": 2048' in ran.stdout.partition(b"\n")[0], ran.stdout[:300]
    assert int(ran.stderr) * 1024 < picture_drawing.MEMORY


# The door


def test_the_door_gives_what_was_drawn_and_says_what_was_refused():
    sent = written(two_halves((3000, 100)), exif=told_exif(orientation=6))
    assert photographs.clean_photograph(sent) == clean_photograph(sent)
    assert photographs.clean_photograph(sent, longest=320) == clean_photograph(sent, longest=320)

    for wrong in (b"", b"no picture", sent[:900], jpeg_of((65_000, 65_000))):
        with pytest.raises(UnusablePicture) as refusal:
            clean_photograph(wrong)
        with pytest.raises(UnusablePicture) as told:
            photographs.clean_photograph(wrong)
        assert (told.value.message, told.value.code) == (refusal.value.message, refusal.value.code)


def test_a_process_that_would_hold_too_much_is_stopped_and_the_sender_told(monkeypatch, tmp_path):
    """The same program under a smaller allowance, as it would be under a bomb we do not foresee."""
    frugal = tmp_path / "frugal.py"
    frugal.write_text(
        f"import runpy, sys\nprogram = runpy.run_path({picture_drawing.__file__!r})\n"
        "program['_bound_process'].__globals__['MEMORY'] = 100 * 2**20\n"
        "program['run'](int(sys.argv[1]))\n"
    )
    monkeypatch.setattr(picture_drawing, "__file__", str(frugal))

    with pytest.raises(UnusablePicture, match="takes too much to read") as refusal:
        photographs.clean_photograph(png((10_000, 6_000), bytes(40_001), depth=8, colour=6))
    assert refusal.value.code == "picture-too-large"
    assert photographs.clean_photograph(written(two_halves())).width == 400


@pytest.mark.parametrize(
    ("program", "told"),
    [
        ("import os, signal; os.kill(os.getpid(), signal.SIGSEGV)", "damaged"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGKILL)", "takes too much"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGXCPU)", "takes too much"),
        ("import time; time.sleep(60)", "takes too much"),
        ("raise MemoryError", "damaged"),
    ],
)
def test_a_program_that_comes_to_no_end_is_told(monkeypatch, tmp_path, program, told):
    broken = tmp_path / "broken.py"
    broken.write_text(program)
    monkeypatch.setattr(picture_drawing, "__file__", str(broken))
    monkeypatch.setattr(photographs, "LONGEST", 3.0)

    with pytest.raises(UnusablePicture, match=told):
        photographs.clean_photograph(written(two_halves()))
