"""The settings file: a wrong line costs only itself, and writing back costs nothing that a person wrote."""

from __future__ import annotations

import re
import time
import tomllib
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

import pourday
from pourday import units
from pourday.errors import Trouble
from pourday.store.settings import Settings, from_text, load, save, settings_path
from pourday.store.settings_fields import BY_NAME, FIELDS
from pourday.text import steerless

HERE = Path("settings.toml")
FULL = """\
# mine
units = "us"   # at home
scale_step = "0.1 oz"
altitude = "1500 ft"
bath = "2 qt"
room = "68 F"
sound = "off"
notify = "osc9"
alarm_command = ["play", "a loud one.wav"]
quiet_from = "23:30"
quiet_to = 6
watch = "5 min"
who = "A. Chandler"
thermometer = "long probe"
in_ice = "0.4 C 2026-11-20"
in_boiling = "211 F"
scale = "bench scale"
pot = "enamel, 4 l"
burner = "small ring"
theme = "light"
cells = "blocks"

[keys]
heat = "j"
"""


def test_every_setting_can_be_written_and_comes_back_in_si():
    read = from_text(FULL, HERE)
    assert read.complaints == ()
    assert read.settings == Settings(
        units="us",
        scale_step=pytest.approx(0.1 * units.OUNCE),
        bath=pytest.approx(2 * 0.946352946e-3),  # a US liquid quart, exact by the definition of the inch
        altitude=pytest.approx(457.2),  # 1500 ft of 0.3048 m, exact by the agreement of 1959
        room_c=pytest.approx(20.0),
        sound=False,
        notify="osc9",
        alarm_command=("play", "a loud one.wav"),
        quiet_from=23.5,
        quiet_to=6.0,
        watch_minutes=5.0,
        who="A. Chandler",
        thermometer="long probe",
        in_ice=(0.4, "2026-11-20"),
        in_boiling=(pytest.approx(99.444, abs=0.001), ""),
        scale="bench scale",
        pot="enamel, 4 l",
        burner="small ring",
        theme="light",
        cells="blocks",
        keys={"heat": "j"},
    )


def test_no_file_means_the_defaults_and_no_complaint(tmp_path):
    read = load(tmp_path / "none.toml")
    assert (read.settings, read.complaints) == (Settings(), ())


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('units = "metrc"', "“metrc” is not known. Write metric or us. Until then metric counts."),
        ('room = "70"', "C or F? Type it like 20 C or 68 F. Until then 20 C counts."),
        ('scale_step = "2 kg"', "not one for candles"),
        ("watch = 0", "does not guard a lit burner"),
        ('quiet_from = "25"', "not a time of day"),
        ("theme = 3", "Write dark, light or mono."),
        ('colour = "x"', "“colour” is no setting. It is left alone."),
        ('theem = "x"', "Is theme meant?"),
        ("alarm_command = [1]", "That kind of value cannot be used here."),
        ('alarm_command = "play \'x"', "a quote that is never closed"),
        ('in_ice = "0.4 2026-11-20"', "with its unit and then the day"),
        ('in_ice = "25 C"', "No thermometer that can be used"),
        ('in_boiling = "hot"', "not what a thermometer shows"),
        ("keys = 3", "[keys]"),
        ("keys.heat = 2.5", "not the name of a key"),
    ],
)
def test_a_wrong_line_gets_a_sentence_with_its_number_and_the_rest_counts(row, says):
    read = from_text(f"# first\n\n{row}\naltitude = '300 m'\n", HERE)
    (complaint,) = read.complaints
    assert complaint.startswith("Line 3: ")
    assert says in complaint
    assert read.settings.altitude == 300.0
    assert read.settings.theme == "dark"


def test_the_line_number_is_right_below_a_text_over_several_lines():
    read = from_text('x = """\nunits = "us"\n"""\nunits = "metrc"\n', HERE)
    assert any(c.startswith("Line 4: units") for c in read.complaints)


@pytest.mark.parametrize("text", ["a = ", 'a = "b\n', "\n\n= 3", "a=1\na=2", "a = " + "9" * 5000, "[" * 3000])
def test_what_is_no_toml_is_one_sentence_with_its_line_and_all_defaults(text):
    read = from_text(text, HERE)
    (complaint,) = read.complaints
    assert "all defaults count" in complaint
    assert "Line " in complaint or "nested" in complaint
    assert read.settings == Settings()


def test_a_folder_a_huge_file_and_bytes_that_are_no_text_are_said_and_harmless(tmp_path):
    huge, wrong = tmp_path / "huge", tmp_path / "wrong"
    huge.write_bytes(b"#" * 300_000)
    wrong.write_bytes(b"units = 'us'\n\xff\xfe")
    for path, says in ((tmp_path, "cannot be read"), (huge, "far too large"), (wrong, "Line 2")):
        read = load(path)
        assert read.settings == Settings()
        assert says in read.complaints[0]


LINES = st.one_of(
    st.text(max_size=40),
    st.builds(
        "{} = {}".format,
        st.sampled_from([*BY_NAME, "keys.heat", "keys", "x"]),
        st.one_of(st.text(max_size=12), st.text(max_size=12).map(lambda t: f'"{t}"'), st.integers().map(str)),
    ),
    st.sampled_from(
        ["[keys]", "[[keys]]", '"""', "'''", "[a", 'heat = "\\u0000"', "sound = 12:00:00", "room = nan"]
    ),
)


@given(st.lists(LINES, max_size=8))
@hypothesis_settings(max_examples=300, deadline=None)
def test_whatever_the_file_says_there_are_settings_and_plain_sentences(rows):
    read = from_text("\n".join(rows), HERE)
    assert isinstance(read.settings, Settings)
    assert all("\n" not in c and "\x1b" not in c and len(c) < 600 for c in read.complaints)
    assert 0 < read.settings.scale_step < 1
    assert 0 <= read.settings.quiet_from <= 24


@given(st.sampled_from(FIELDS), st.text(max_size=30))
@hypothesis_settings(max_examples=300, deadline=None)
def test_whatever_is_typed_into_a_setting_is_taken_or_refused_with_trouble(field, text):
    with suppress(Trouble):
        field.read(text, "metric")


@pytest.mark.parametrize("text", ["1 g", "0.05 kg", "0.1 oz", "0.01 lb"])
def test_the_quick_reading_of_weights_agrees_with_pint(text):
    assert BY_NAME["scale_step"].read(text, "metric") == pytest.approx(units.read_mass(text, "metric").value)


@pytest.mark.parametrize("text", ["450 m", "1500 ft", "3.5 ft"])
def test_the_quick_reading_of_altitudes_agrees_with_pint(text):
    assert BY_NAME["altitude"].read(text, "metric") == pytest.approx(units.read_altitude(text, "us").value)


# -- writing back --------------------------------------------------------------------------------------


def test_saving_keeps_comments_order_unknown_lines_and_all_else(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text("# mine\nwhat = [1, 2]\n" + FULL)
    save(path, "theme", "mono")
    save(path, "keys.heat", "m")
    assert path.read_text() == ("# mine\nwhat = [1, 2]\n" + FULL).replace('"light"', '"mono"').replace(
        '"j"', '"m"'
    )


def test_saving_makes_folder_and_file_and_taking_away_brings_the_default_back(tmp_path):
    path = tmp_path / "new" / "settings.toml"
    assert save(path, "keys.heat", "j").settings.keys == {"heat": "j"}
    assert save(path, "theme", "light").settings.theme == "light"
    assert save(path, "keys.heat", None).settings == Settings(theme="light")
    assert save(path, "theme", None).settings == Settings()
    assert [p.name for p in path.parent.iterdir()] == ["settings.toml"]


def test_a_text_that_cannot_be_used_and_a_file_that_is_no_toml_leave_the_file_as_it_was(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text("units = 'us'\n")
    with pytest.raises(Trouble, match="warm"):
        save(path, "room", "warm")
    path.write_text("units = ")
    with pytest.raises(Trouble, match="Line 1"):
        save(path, "theme", "light")
    assert path.read_text() == "units = "


def test_a_bare_number_keeps_its_meaning_when_the_units_change(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text("altitude = 300\nroom = '21,5'\n")
    save(path, "units", "us")
    counts = save(path, "scale_step", "1").settings
    assert (counts.altitude, counts.room_c) == (300.0, 21.5)
    assert counts.scale_step == pytest.approx(units.OUNCE)
    assert save(path, "units", "metric").settings.scale_step == pytest.approx(units.OUNCE)


def test_a_link_to_the_file_stays_a_link(tmp_path):
    kept, link = tmp_path / "kept.toml", tmp_path / "settings.toml"
    kept.write_text("# kept\n")
    link.symlink_to(kept)
    save(link, "theme", "light")
    assert link.is_symlink()
    assert load(kept).settings.theme == "light"


def test_a_folder_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(Trouble, match=r"could not be saved|cannot be read"):
        save(tmp_path / "file" / "settings.toml", "theme", "light")


@given(st.lists(LINES, max_size=6), st.sampled_from([f.name for f in FIELDS if f.choices]), st.data())
@hypothesis_settings(max_examples=150, deadline=None)
def test_a_saved_setting_comes_back_and_no_other_value_moves(tmp_path_factory, rows, name, data):
    path = tmp_path_factory.mktemp("s") / "settings.toml"
    path.write_text("\n".join(rows), encoding="utf-8", errors="surrogatepass", newline="")
    chosen = data.draw(st.sampled_from(BY_NAME[name].choices))
    try:
        before = tomllib.loads(path.read_bytes().decode())
        after = save(path, name, chosen)
    except (Trouble, ValueError, RecursionError):
        return
    assert after.texts[name] == chosen
    now = tomllib.loads(path.read_bytes().decode())
    others = {k: repr(v) for k, v in now.items() if k not in BY_NAME}
    assert others == {k: repr(v) for k, v in before.items() if k not in BY_NAME}


def test_where_the_file_lies_is_argument_then_variable_then_the_platforms_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert settings_path(str(tmp_path / "a"), {"POURDAY_CONFIG": "/b"}) == tmp_path / "a"
    assert settings_path(None, {"POURDAY_CONFIG": str(tmp_path / "b")}) == tmp_path / "b"
    assert settings_path(None, {}).name == "settings.toml"
    with pytest.raises(Trouble):
        settings_path("", {})


HOSTILE = {
    "one key of thousands of parts": "a." * 30_000 + "a = 1\n",
    "many keys of hundreds of parts": "".join(f"k{n}.{'a.' * 900}a = 1\n" for n in range(35)),
    "the same as headers": "".join(f"[k{n}.{'a.' * 900}a]\n" for n in range(35)),
    "thousands of settings": "".join(f"a{n}=1\n" for n in range(8_000)),
    "nested": "a = " + "[" * 60_000,
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_no_file_of_the_size_of_settings_holds_the_start_up(tmp_path, kind):
    """60 kB of `a.a.a` took seventeen seconds at every start."""
    path = tmp_path / "settings.toml"
    path.write_text(HOSTILE[kind])
    began = time.process_time()
    loaded = load(path)
    assert time.process_time() - began < 1.5
    assert loaded.complaints
    assert loaded.settings == Settings()


def test_a_line_that_is_too_long_is_named_and_a_long_comment_is_none(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(f'# {"-" * 5_000}\nunits = "us"\n')
    assert load(path).settings.units == "us"
    path.write_text(f'units = "us"\nroom = "{"2" * 3_000}"\n')
    assert load(path).complaints[0].startswith("Line 2 of the settings is far too long to be meant.")


def test_saving_keeps_a_private_file_private(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text('units = "metric"\n')
    path.chmod(0o600)
    save(path, "units", "us")
    assert path.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("sign", ["\\u009b31m", "\\u202e", "\\u2066", "\\u001b]2;x\\u0007", "\\u200d"])
@pytest.mark.parametrize("line", ['alarm_command = "ring{}er"', '[keys]\nheat = "{}"'])
def test_signs_that_could_steer_a_terminal_are_told_and_do_not_count(tmp_path, sign, line):
    """Eight-bit controls (ECMA-48) and signs that turn letters round (Unicode UAX 9) came through to the screen."""
    path = tmp_path / "settings.toml"
    path.write_text(line.format(sign))
    loaded = load(path)
    assert loaded.settings == Settings()
    assert len(loaded.complaints) == 1
    assert steerless(loaded.complaints[0]) == loaded.complaints[0]
    assert loaded.texts == {}


def test_probes_are_lines_of_their_own_and_what_is_none_is_said_with_its_line(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(
        '[probes]\npot = "serial:/dev/ttyUSB0?baud=9600"\nbad = "carrier-pigeon:9"\nnumber = 5\n"a.b" = "file:/x"\n'
        '[probe_tests]\npot = "-0.40 K in ice on 2026-11-30"\njug = "a lot"\n'
    )
    loaded = load(path)
    assert loaded.settings.probes == {"pot": "serial:/dev/ttyUSB0?baud=9600"}
    assert loaded.settings.probe_tests == {"pot": "-0.40 K in ice on 2026-11-30"}
    assert [c.split(":")[0] for c in loaded.complaints] == ["Line 3", "Line 4", "Line 5", "Line 8"]
    saved = save(path, "probes.jug", "file:/tmp/jug.log")
    assert saved.settings.probes["jug"] == "file:/tmp/jug.log"
    assert "carrier-pigeon" in path.read_text()
    assert save(path, "probes.pot", None).settings.probes == {"jug": "file:/tmp/jug.log"}
    assert load(tmp_path / "none.toml").settings.probes == {}


def test_a_part_for_probes_that_is_no_part_is_said(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text('probes = "file:/x"\n')
    assert "[probes]" in load(path).complaints[0]


def test_every_setting_has_a_line_of_its_own_whose_default_is_its_default():
    """But for the tables of keys and probes, which have rows of their own making."""
    tables = {"keys", "probes", "probe_tests"}
    known = {field.attribute for field in FIELDS}
    assert known == set(Settings.__struct_fields__) - tables, "each field of `Settings` has a `SettingField`"
    for field in FIELDS:
        assert field.read(field.default, "metric") == getattr(Settings(), field.attribute), field.name
        assert f"\n{field.name} = " in FULL, f"{field.name} is not tried above: give it a line in FULL"


def test_every_setting_is_asked_for_somewhere():
    """A setting that nothing reads would be shown, saved and without effect."""
    root = Path(pourday.__file__).parent
    elsewhere = [path for path in root.rglob("*.py") if not path.name.startswith("settings")]
    code = "\n".join(path.read_text(encoding="utf-8") for path in elsewhere)
    idle = [name for name in Settings.__struct_fields__ if not re.search(rf"settings\.{name}\b", code)]
    assert idle == [], (
        "these settings have no effect; see `_use` in tui/app.py and `empty_plan` in tui/home/new_plan.py"
    )
