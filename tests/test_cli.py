"""The door: what is asked on the command line gets its answer, or one plain sentence and the right exit status."""

from __future__ import annotations

import csv
import io
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys

import pytest

import pourday
from pourday.demo.scenario import two_pillars
from pourday.session import events as ev
from pourday.store.live import LiveSession
from tests.tui.forked import run_forked

NOON = 1_795_608_000.0
"""2026-11-25 12:00 UTC."""
ID = "2026-11-25-a"


@pytest.fixture
def call(tmp_path):
    """The program in a folder of its own, without a terminal; in an interpreter of its own with `fresh=True`."""
    env = {**os.environ, "POURDAY_SESSIONS": str(tmp_path / "sessions"), "HOME": str(tmp_path), "TZ": "UTC"}
    env.pop("XDG_DATA_HOME", None)

    def run(*arguments: str, **more) -> subprocess.CompletedProcess[str]:
        for name, value in more.pop("env", {}).items():
            env.pop(name, None) if value is None else env.update({name: value})
        if not more.pop("fresh", False):
            return run_forked(list(arguments), env, **more)
        command = [sys.executable, "-m", "pourday", *arguments]
        options = {"stdin": subprocess.DEVNULL, "timeout": 60, "check": False}
        return subprocess.run(command, env=env, capture_output=True, text=True, **options)

    run.folder = tmp_path / "sessions"
    return run


@pytest.fixture
def filled(call):
    """One open session with a reading, one finished."""
    call.folder.mkdir()
    for session, done in (("2026-11-24-a", True), (ID, False)):
        live = LiveSession.create(call.folder, session, now=NOON)
        live.file(ev.PlanFixed(plan=two_pillars()), now=NOON + 1)
        live.file(ev.Reading(place="pot", celsius=74.5, typed="74.5"), now=NOON + 2)
        if done:
            live.finish("a good day", now=NOON + 3)
        live.close()
    return call


def sentence(done: subprocess.CompletedProcess[str], status: int) -> str:
    """What it says when it refuses: one line, on standard error, with the name of the program first."""
    assert done.returncode == status, (done.stdout, done.stderr)
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    lines = done.stderr.splitlines()
    assert len(lines) == 1, done.stderr
    assert lines[0].startswith("pourday: ")
    assert lines[0][len("pourday: ") :].strip().endswith((".", "?", "!"))
    return lines[0]


def test_version_is_the_version(call):
    done = call("--version", fresh=True)
    assert (done.returncode, done.stdout) == (0, f"pourday {pourday.__version__}\n")


def test_help_shows_every_command_with_examples_that_are_understood(call):
    from pourday.arguments import command_line

    done = call("--help")
    assert done.returncode == 0
    for command in ("demo", "list", "resume", "show", "check", "plan", "schema"):
        assert re.search(rf"^ +{command} ", done.stdout, re.MULTILINE), command
    examples = re.findall(r"^  pourday((?: [-\w.]+)*)  ", done.stdout, re.MULTILINE)
    assert len(examples) >= 7
    for example in examples:
        command_line().parse_args(example.split())


@pytest.mark.parametrize("command", ["demo", "list", "resume", "show", "check", "plan", "schema"])
def test_every_command_has_help_of_its_own(call, command):
    done = call(command, "--help")
    assert done.returncode == 0
    assert done.stdout.startswith(f"usage: pourday {command}")


@pytest.mark.parametrize(
    "arguments",
    [
        ["bake"],
        ["--speed"],
        ["show"],
        ["demo", "--speed", "fast"],
        ["demo", "--seed", "1.5"],
        ["due", "extra"],
        ["\x1b]2;owned\x07"],
        ["--nonsense\x1b[2J"],
    ],
)
def test_what_is_not_understood_is_one_sentence_and_status_2(call, arguments):
    said = sentence(call(*arguments), 2)
    assert "pourday --help" in said
    assert "\x1b" not in said
    assert not call.folder.exists() or not list(call.folder.iterdir())


def test_list_of_an_empty_folder_says_how_to_begin(call):
    done = call("list")
    assert done.returncode == 0
    assert done.stdout.startswith("No sessions yet.")


def test_list_shows_open_ones_first_then_finished_then_broken_files(filled):
    (filled.folder / "2026-11-23-a.json").write_text("{")
    done = filled("list")
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert [line.split()[0] for line in lines] == [ID, "2026-11-24-a", "2026-11-23-a"]
    assert "melt" in lines[0]
    assert "finished" in lines[1]
    assert "cannot be opened: " in lines[2]


def test_show_tells_the_record(filled):
    done = filled("show", "2026-11-24-a")
    assert done.returncode == 0
    assert "Recipe:" in done.stdout
    assert "Planned beside actual:" in done.stdout
    told = filled("show", "2026-11-24-a", "--story")
    assert "74.5 °C in the pot" in told.stdout


def test_show_as_data_is_read_by_other_programs(filled):
    rows = list(csv.DictReader(io.StringIO(filled("show", "2026-11-24-a", "--csv").stdout.lstrip("\ufeff"))))
    assert ("reading", "74.5") in {(row["what"], row["temperature_c"]) for row in rows}
    data = json.loads(filled("show", "2026-11-24-a", "--json").stdout)
    assert (data["pourday"], data["session"]) == ("record", "2026-11-24-a")


@pytest.mark.parametrize("command", ["show", "check"])
def test_a_session_that_is_not_there_is_one_sentence_with_the_way_on(filled, command):
    said = sentence(filled(command, "2020-01-01-a"), 1)
    assert "There is no session called 2020-01-01-a." in said
    assert "pourday list" in said


@pytest.mark.parametrize(
    ("command", "name"),
    [
        ("show", "../../etc/passwd"),
        ("check", "../../etc/passwd"),
        ("show", "A B"),
        ("show", ""),
        ("check", "\x1b[31mred"),
        ("show", "x" * 300),
    ],
)
def test_a_name_that_is_none_is_refused_and_leads_nowhere(filled, command, name):
    said = sentence(filled(command, name), 1)
    assert "is not the name of a session" in said
    assert "\x1b" not in said


def test_a_broken_file_is_named_with_its_place(filled):
    (filled.folder / "2026-11-23-a.journal").write_text("not a journal\n")
    assert "2026-11-23-a.journal" in sentence(filled("show", "2026-11-23-a"), 1)


@pytest.mark.parametrize("arguments", [[], ["demo"], ["demo", "--by-hand"], ["resume"], ["resume", ID]])
def test_without_a_terminal_the_screen_is_refused_and_nothing_begun(filled, arguments):
    before = {p.name: p.read_bytes() for p in filled.folder.iterdir()}
    for typed in (None, ""):
        assert "There is no terminal here" in sentence(filled(*arguments, typed=typed), 1)
    assert {p.name: p.read_bytes() for p in filled.folder.iterdir()} == before


@pytest.mark.parametrize("speed", ["0", "-5", "601", "nan", "inf"])
def test_a_speed_the_kitchen_cannot_run_at_is_refused(call, speed):
    assert "1 to 600" in sentence(call("demo", f"--speed={speed}"), 1)


def test_a_simulated_day_below_zero_is_refused_and_none_begun(call):
    assert "There is no simulated day -1." in sentence(call("demo", "--plain", "--seed", "-1"), 1)
    assert not list(call.folder.glob("2*"))


def test_sessions_live_where_the_option_says_before_the_variable_before_the_data_folder(call, tmp_path):
    call("list", "--sessions", str(tmp_path / "a"))
    assert (tmp_path / "a").is_dir()
    assert not call.folder.exists()
    call("--sessions", str(tmp_path / "b"), "list")
    assert (tmp_path / "b").is_dir()
    call("list")
    assert call.folder.is_dir()
    assert call("list", env={"POURDAY_SESSIONS": None}).returncode == 0
    assert any(path.is_dir() for path in tmp_path.rglob("pourday/sessions"))


@pytest.mark.parametrize("made", ["file", "empty", "under a file"])
def test_a_folder_that_cannot_be_one_is_one_sentence(call, tmp_path, made):
    (tmp_path / "plain").write_text("")
    asked = {"file": str(tmp_path / "plain"), "empty": "", "under a file": str(tmp_path / "plain" / "x")}[
        made
    ]
    said = sentence(call("--sessions", asked, "list"), 1)
    assert "--sessions" in said


@pytest.mark.parametrize("unbuffered", [None, "1"])
@pytest.mark.parametrize("arguments", ["show 2026-11-24-a", "list", "schema", "--version", "--help"])
def test_a_reader_that_goes_away_is_no_error_of_ours(filled, arguments, unbuffered):
    """`pourday show ... | head -1`, whether Python writes at once or holds back to the end."""
    env = {k: v for k, v in os.environ.items() if k != "PYTHONUNBUFFERED"}
    env |= {"POURDAY_SESSIONS": str(filled.folder)} | ({"PYTHONUNBUFFERED": unbuffered} if unbuffered else {})
    command = f'"{sys.executable}" -m pourday {arguments} | true; exit ${{PIPESTATUS[0]}}'
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False, env=env)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no disk that is always full")
@pytest.mark.parametrize("unbuffered", [None, "1"])
@pytest.mark.parametrize("arguments", [("list",), ("schema",), ("--help",)])
def test_output_that_cannot_be_written_is_one_sentence_and_status_1(filled, arguments, unbuffered):
    env = {k: v for k, v in os.environ.items() if k != "PYTHONUNBUFFERED"}
    env |= {"POURDAY_SESSIONS": str(filled.folder)} | ({"PYTHONUNBUFFERED": unbuffered} if unbuffered else {})
    command = [sys.executable, "-m", "pourday", *arguments]
    with open("/dev/full", "w") as full:
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False, env=env)
    said = "pourday: What was to be shown could not be written. The disk is full.\n"
    # argparse passes over a refused line of its own where it is written at once.
    passed_over = arguments == ("--help",) and unbuffered
    assert (done.returncode, done.stderr) == ((0, "") if passed_over else (1, said))


@pytest.mark.parametrize("closed", ["<&-", ">&-", "<&- >&- 2>&-"])
def test_a_stream_that_was_closed_is_no_terminal(filled, closed):
    """Then Python has no such stream at all, not even one that could be asked."""
    env = {**os.environ, "POURDAY_SESSIONS": str(filled.folder)}
    command = f'"{sys.executable}" -m pourday {closed}'
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert "2>&-" in closed or "There is no terminal here" in done.stderr


def test_an_ascii_only_terminal_gets_an_answer_not_a_traceback(filled):
    ascii_only = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}
    done = filled("show", "2026-11-24-a", env=ascii_only, fresh=True)
    assert "Traceback" not in done.stderr
    assert done.returncode == 0


@pytest.mark.slow  # Of a plan file in the quick suite: tests/demo/test_truth.py.
def test_the_plain_demo_runs_a_whole_day_and_leaves_a_finished_record_marked_as_demo(call):
    done = call("demo", "--plain", timeout=120)
    assert done.returncode == 0, done.stderr
    assert "HEAT ON" in done.stdout
    assert "DEMOULD A" in done.stdout
    (record,) = call.folder.glob("*.json")
    assert '"demo":true' in record.read_text().replace(" ", "")
    listed = call("list")
    assert "finished" in listed.stdout
    assert listed.stdout.rstrip().endswith("demo")


@pytest.mark.parametrize(("term", "drawn"), [("linux", "blocks"), ("xterm-256color", "braille")])
def test_settings_show_what_curves_are_drawn_in_on_this_terminal(call, tmp_path, term, drawn):
    done = call("settings", "--config", str(tmp_path / "none.toml"), env={"TERM": term})
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("cells ")]
    assert line.split() == ["cells", drawn, "(default)"]


INTERRUPTED = """
import os, runpy, signal, sys
module = sys.argv.pop(1)
class Finger:
    def find_spec(self, name, path=None, target=None):
        if name == module:
            os.kill(os.getpid(), signal.SIGINT)
sys.modules.pop(module, None)
sys.meta_path.insert(0, Finger())
runpy.run_module("pourday", run_name="__main__", alter_sys=True)
"""
"""Presses Ctrl+C in the instant in which a module is looked for."""
HEARS = "signal.signal(signal.SIGINT, signal.default_int_handler)"
"""As Python begins in a terminal, also where the tests themselves were begun behind a shell's back."""


@pytest.mark.parametrize(
    "module", ["pourday.cli", "argparse", "pathlib", "pourday.errors", "pourday.store.library"]
)
def test_ctrl_c_while_the_program_is_being_loaded_ends_it_without_a_traceback(call, module):
    env = {**os.environ, "POURDAY_SESSIONS": str(call.folder)}
    command = [sys.executable, "-c", f"import signal\n{HEARS}\n{INTERRUPTED}", module, "list"]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False, timeout=60)
    # Ended by the signal itself before there is a door, by the door's own 130 behind it; a shell says 130 for both.
    assert done.returncode in (-2, 130), (done.returncode, done.stderr)
    assert done.stderr == ""


def test_ctrl_c_that_a_shell_has_switched_off_stays_switched_off(call):
    env = {**os.environ, "POURDAY_SESSIONS": str(call.folder)}
    quiet = f"import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\n{INTERRUPTED}"
    command = [sys.executable, "-c", quiet, "pourday.cli", "list"]
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_record_alone_is_enough_to_pour_it_again(call, tmp_path):
    """As somebody has it who got nothing but one finished record."""
    call.folder.mkdir(parents=True, exist_ok=True)
    record = pathlib.Path(pourday.__file__).parents[1] / "sessions" / "2026-10-25-demo-a.json"
    shutil.copy(record, call.folder)
    new = str(tmp_path / "again.json")
    done = call("plan", "--from", "2026-10-25-demo-a", "--as-poured", "--mould", "A", "--out", new)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert "Two pillars, rust and cream" in call("plan", new).stdout
    assert "already" in sentence(call("plan", "--from", "2026-10-25-demo-a", "--out", new), 1)
    assert "one of A, B" in sentence(call("plan", "--from", "2026-10-25-demo-a", "--as-poured"), 1)
    assert "no plan file" in sentence(call("plan", new, "--from", "2026-10-25-demo-a"), 1)
    assert "No plan was named" in sentence(call("plan"), 1)
    assert json.loads(call("plan", "--from", "2026-10-25-demo-a").stdout)["layers"][0]["colour"] == "rust"


def test_the_papers_are_written_beside_nothing_that_stands_there(filled, tmp_path):
    for paper in ("sheet", "record", "slip"):
        out = tmp_path / f"{paper}.html"
        done = filled("print", "2026-11-24-a", paper, "--out", str(out))
        assert (done.returncode, done.stderr) == (0, "")
        assert out.read_text(encoding="utf-8").startswith("<!doctype html>")
        assert "already" in sentence(filled("print", "2026-11-24-a", paper, "--out", str(out)), 1)
    assert "NO WATER" in filled("print", "2026-11-24-a", "sheet", "--text").stdout
    assert "unattended" in filled("print", "2026-11-24-a", "slip", "--text").stdout
    assert "pourday show" in sentence(filled("print", "2026-11-24-a", "record", "--text"), 1)


def test_a_cooling_curve_is_read_as_text_and_as_data(call, tmp_path):
    """A flat piece at 58 °C between two steep ones, as a textbook's plateau is drawn."""
    celsius = [76 - 0.5 * i for i in range(36)] + [58.0] * 60 + [57.9 - 0.25 * i for i in range(60)]
    rows = "".join(f"{15 * i},{value:.1f}\n" for i, value in enumerate(celsius))
    file = tmp_path / "tin.csv"
    file.write_text(f"seconds,celsius\n{rows}", encoding="utf-8")
    data = json.loads(call("curve", str(file), "--json").stdout)
    assert set(data) == {"congealing_c", "early_c", "late_c", "range_c", "kind", "families"}
    assert data["kind"] == "plateau"
    assert data["early_c"] < data["congealing_c"] < data["late_c"]
    assert data["congealing_c"] == pytest.approx(58.0, abs=0.1)
    done = call("curve", str(file), "--around", "21C")
    assert done.returncode == 0
    assert "It sets at 58.0 °C" in done.stdout
    assert "paraffin" in done.stdout
    assert "no.csv cannot be read" in sentence(call("curve", str(tmp_path / "no.csv")), 1)
    kept = call("curve", str(file), "--keep", "Grey sack", "--between", "paraffin_low", "microcrystalline")
    assert kept.returncode == 0
    assert "Kept: plans find it as “Grey sack”" in kept.stdout
    assert "As a blend of" in kept.stdout


def test_why_weighs_a_fault_of_a_candle_and_writes_the_next_plan(call, tmp_path):
    call.folder.mkdir(parents=True, exist_ok=True)
    sample = "2026-10-25-demo-a"
    shutil.copy(pathlib.Path(pourday.__file__).parents[1] / "sessions" / f"{sample}.json", call.folder)
    data = json.loads(call("why", sample, "a", "--fault", "join split", "--json").stdout)
    assert {"causes", "change"} <= set(data)
    assert {"cause", "odds", "for", "against", "not_recorded"} == set(data["causes"][0])
    new = str(tmp_path / "next.json")
    done = call("why", sample, "B", "--fault", "Hollow", "--out", new)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.index("CAUTION") < done.stdout.index("What it can come from")
    plan = json.loads(pathlib.Path(new).read_text(encoding="utf-8"))
    assert (plan["parent"], plan["tried"]["fault"]) == (sample, "hollow")
    assert call("plan", new).returncode == 0
    assert "What do you see?" in call("why", sample, "A").stdout
    assert "No fault is called" in sentence(call("why", sample, "A", "--fault", "melancholy"), 1)
    assert "Nothing was poured into Z" in sentence(call("why", sample, "Z", "--fault", "rings"), 1)


def test_probes_are_shown_without_a_session_and_other_commands_read_none(call, tmp_path):
    done = call("probes", "--probe", "-", "--json", "--seconds", "20", typed="T=61.2 C\nhello\n850\n")
    assert done.returncode == 0
    rows = [json.loads(row) for row in done.stdout.splitlines()]
    assert [(row["place"], row["celsius"], row["doubt"]) for row in rows] == [
        ("pot", 61.2, None),
        ("pot", None, "no temperature in it"),
        ("pot", 850.0, "a wire is open"),
    ]
    assert "has ended" in done.stderr
    plain = call("probes", "--probe", "-", "--seconds", "20", typed="61.2\n")
    assert "61.2 °C" in plain.stdout
    assert call("--probe", "-", "list").returncode == 1
    assert "reads no probe" in call("--probe", "-", "list").stderr
    none = call("probes", "--config", str(tmp_path / "none.toml"))
    assert none.returncode == 1
    assert "No probe is named" in none.stderr
