"""The fuzzer: job folders spoilt by a seed, each of them a sound result or told mistakes, and nothing else.

``python tests/helpers/fuzz.py 300`` tries the cases 1 to 300, ``fuzz.py 300 --first 1001`` those from 1001
on, ``fuzz.py --case 1234`` one of them, with what was changed in it, ``fuzz.py --case 1234 --keep FOLDER``
leaves its folder there. What a case is depends on its number alone.

Cases run in a child process with a bound on memory and on its own computing time; one that passes either, or
takes the process down, is a failure of its own, and the rest go on in another child.
"""

from __future__ import annotations

import argparse
import json
import resource
import signal
import subprocess
import sys
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from types import FrameType

from fuzz_folders import spoilt_folder
from places import CHECKOUT
from sound_record import check_kept, check_settled
from sound_result import check_headline, check_ranges, check_result
from told import check_told, read_or_told

import mytakeoff as mt
from mytakeoff.io.finished.finished_file import FINISHED_FILE
from mytakeoff.options.result import Refused

MOST_BYTES = 4 * 2**30
MOST_S = 60  # of the processor: a usual case takes a tenth of a second
CHUNK = 500  # cases to a child
SOLVER = b"Highs"  # scipy's solver of whole numbers prints a line for itself now and then, as of 1.17
RESULT, REFUSED, FAILED = "result", "refused", "failed"


class DoesNotEndError(BaseException):
    """Nothing that a case does takes so long. Not an Exception, so that nobody catches it on the way."""


@dataclass(frozen=True)
class Outcome:
    """How a case ended: a "result", "refused" or "failed", and why."""

    case: int
    way: str
    why: str = ""

    @property
    def cause(self) -> str:
        """The kind of error and the package's line that it came from: the same for cases of one cause."""
        lines = self.why.strip().splitlines() or [""]
        here = [line.strip() for line in lines if "mytakeoff/" in line and line.strip().startswith("File")]
        place = here[-1].split("mytakeoff/")[-1].replace('"', "") if here else ""
        return f"{lines[-1].split(':')[0][:60]} at {place}"


def tried(case: int, folder: Path) -> Outcome:
    """One case in an empty folder; a fifth of them go through all that is done with a job."""
    random = Random(case)
    done: list[str] = []
    try:
        done += spoilt_folder(random, folder)
        return Outcome(case, _used(folder, thorough=case % 5 == 0))
    except (Exception, DoesNotEndError):
        said = "; ".join(done) or "nothing: the folder could not be made"
        return Outcome(case, FAILED, f"{said}\n{traceback.format_exc(limit=-8)}")


def _used(folder: Path, thorough: bool) -> str:
    """Open and evaluate what stands in a folder; whatever a user would do next if `thorough`."""
    try:
        job = mt.open_job(folder)
        result = mt.evaluate(job)
    except mt.TakeoffError as error:
        check_told(error)
        return REFUSED
    check_result(result)
    str(result)
    if (folder / FINISHED_FILE).exists():
        _written_down(result, folder)
    if thorough:
        for use in (_told, _ordered, _set_out, _ranged, _compared, _saved):
            try:
                use(result, folder)
            except mt.TakeoffError as error:
                check_told(error)
    return RESULT


def _written_down(result: mt.Result, folder: Path) -> None:
    """What is done with ``finished.toml``: saved whole or not at all, measured again, checked, settled up."""
    with read_or_told():
        check_kept(folder)
    with read_or_told():
        check_settled(result, folder)


def _told(result: mt.Result, folder: Path) -> None:
    check_headline(mt.headline(result))
    mt.work_programme(result)


def _ordered(result: mt.Result, folder: Path) -> None:
    mt.order_as_priced(result)
    mt.cheapest_order(result)


def _set_out(result: mt.Result, folder: Path) -> None:
    mt.set_out(result)
    for wall in result.walls[:1]:
        mt.best_rails(result.job, wall)


def _ranged(result: mt.Result, folder: Path) -> None:
    ranges = mt.job_ranges(result)
    check_ranges(ranges)
    check_headline(mt.headline(result, ranges))


def _compared(result: mt.Result, folder: Path) -> None:
    for option in mt.compare(result.job):
        if isinstance(option, Refused):
            check_told(option.why)
        else:
            check_result(option.result)


def _saved(result: mt.Result, folder: Path) -> None:
    """Saved where it was opened, no byte is another; saved elsewhere, it opens as the same job."""
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    job = result.job
    mt.save_job(replace(job, worked_out=mt.open_job(folder).worked_out), folder)
    changed = [path.name for path, content in before.items() if path.read_bytes() != content]
    assert not {*changed} - {"worked-out.json"}, f"saving what was opened changed {changed}"
    with TemporaryDirectory() as elsewhere:
        mt.save_job(job, elsewhere)
        again = mt.open_job(elsewhere)
        assert replace(again, folder="") == replace(job, folder="", walls=again.walls)


def outcomes(
    first: int, count: int, program: Sequence[str] = (sys.executable, __file__)
) -> Iterator[Outcome]:
    """Each case in its turn, tried in child processes of a program that writes an outcome to a line."""
    case, end = first, first + count
    while case < end:
        stop = min(case + CHUNK, end)
        command = [*program, str(stop - case), "--first", str(case), "--child"]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=CHECKOUT) as child:
            assert child.stdout is not None
            assert child.stderr is not None
            printed = ""
            for line in child.stdout:
                if line.startswith(SOLVER):
                    continue
                if not line.startswith(b"{"):
                    printed += line.decode(errors="replace")
                    continue
                outcome = Outcome(**json.loads(line))
                yield Outcome(case, FAILED, f"{outcome.why}\nprinted {printed!r}") if printed else outcome
                case, printed = case + 1, ""
            complaint = child.stderr.read().decode(errors="replace")[-3000:]
        if case < stop:
            yield Outcome(case, FAILED, f"the process ended with {child.returncode}\n{complaint}")
            case += 1


def _as_child(first: int, count: int) -> None:
    """Try cases under bounds, and write each outcome as a line."""

    def too_long(number: int, frame: FrameType | None) -> None:
        raise DoesNotEndError(f"after {MOST_S} s of computing")

    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.signal(signal.SIGPROF, too_long)
    warnings.simplefilter("error")
    for case in range(first, first + count):
        signal.setitimer(signal.ITIMER_PROF, MOST_S)
        with TemporaryDirectory() as scratch:
            outcome = tried(case, Path(scratch))
        signal.setitimer(signal.ITIMER_PROF, 0)
        print(json.dumps(outcome.__dict__), flush=True)  # noqa: T201


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("count", type=int, nargs="?", default=300)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--case", type=int)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--child", action="store_true", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        return _as_child(given.first, given.count)
    if given.keep:
        given.keep.mkdir()
        print("; ".join(spoilt_folder(Random(given.case), given.keep)))  # noqa: T201
    first, count = (given.case, 1) if given.case else (given.first, given.count)
    ways: Counter[str] = Counter()
    for outcome in outcomes(first, count):
        if outcome.way == FAILED and not ways[outcome.cause]:
            print(f"case {outcome.case}: {outcome.why}", flush=True)  # noqa: T201
        ways[outcome.cause if outcome.way == FAILED else outcome.way] += 1
    for way, cases in ways.most_common():
        print(f"{cases:6} {way}")  # noqa: T201
    return None


if __name__ == "__main__":
    main()
