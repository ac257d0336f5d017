"""Run trials in processes of their own, and put together what they found."""

import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.fuzzing.trials import MOST_SECONDS, Finding, Summary

ROOT = Path(__file__).parents[2]
TOO_LONG = f"more than {MOST_SECONDS:.0f} seconds"


@dataclass(slots=True)
class Campaign:
    """What came of many inputs of one format."""

    inputs: int = 0
    refused: int = 0
    slowest: float = 0.0  # seconds
    slowest_number: int = 0
    peak_memory: int = 0  # bytes, of the processes that ended well
    findings: list[Finding] = field(default_factory=list[Finding])

    @property
    def places(self) -> dict[str, list[int]]:
        """The numbers of the inputs by what they ran into."""
        found: dict[str, list[int]] = {}
        for finding in self.findings:
            found.setdefault(_place(finding["problem"]), []).append(finding["number"])
        return found

    def add(self, summary: Summary) -> None:
        """Count in what one process did."""
        self.inputs += summary["inputs"]
        self.refused += summary["refused"]
        self.peak_memory = max(self.peak_memory, summary["peak_memory"])
        if summary["slowest"] > self.slowest:
            self.slowest, self.slowest_number = summary["slowest"], summary["slowest_number"]


def fuzz(format_name: str, count: int, seed: int) -> Campaign:
    """Read so many damaged inputs; a process that dies is a finding, and another goes on."""
    campaign = Campaign()
    first = 0
    with tempfile.TemporaryDirectory() as folder:
        progress = Path(folder) / "progress"
        while first < count:
            ended = subprocess.run(
                [sys.executable, "-m", "tests.fuzzing.trials", format_name, str(seed), str(first),
                 str(count), str(progress)],
                cwd=ROOT, capture_output=True, text=True, check=False,
            )  # fmt: skip
            reports = list(_reports(ended.stdout))
            campaign.findings += [report for report in reports if "problem" in report]
            for report in reports:
                if "inputs" in report:
                    campaign.add(report)
                    return campaign
            number = int(progress.read_text())
            problem = _cause_of_death(ended)
            campaign.findings.append(Finding(number=number, problem=problem))
            campaign.inputs += number + 1 - first
            first = number + 1
    return campaign


def _reports(lines: str) -> Iterator[Finding | Summary]:
    for line in lines.splitlines():
        yield json.loads(line)


def _cause_of_death(ended: subprocess.CompletedProcess[str]) -> str:
    if "Timeout" in ended.stderr:
        return f"{ended.stderr}\n{TOO_LONG}"
    return f"{ended.stderr}\nthe process died with exit code {ended.returncode}"


def _place(problem: str) -> str:
    """Return the line of melodex that an exception came through last, and the exception."""
    lines = problem.replace(f"{ROOT}/", "").strip().splitlines()
    ours = [line.strip() for line in lines if "melodex" in line and "line" in line]
    is_timeout = lines[-1] == TOO_LONG
    place = ours[0 if is_timeout else -1] if ours else ""
    message = re.sub(r"\d+", "N", lines[-1][:150])  # else each number were a place of its own
    return f"{place}: {message}"
