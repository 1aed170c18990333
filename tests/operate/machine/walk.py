"""Walks through the service as deploy/README.md tells it, on a machine under systemd, against the loopback Bot API server.

    python -m tests.operate.machine.walk [COMMAND THAT ENTERS THE MACHINE ...]

The checkout lies in /opt/potside there. Without a command it is this machine: it must be one to throw away, and the user root.
Each check prints a line; the first that does not hold ends the walk with 1.
"""

from __future__ import annotations

import asyncio
import re
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tests.e2e.loopback.core import Account, BotApi
from tests.e2e.loopback.front import LoopbackServer
from tests.e2e.loopback.people import Person
from tests.e2e.rig import TOKEN

STATE, SETTINGS = "/var/lib/potside", "/etc/potside/potside.env"
PYTHON = "cd /opt/potside && .venv/bin/python -m bot"
AS_SERVICE = "setpriv --reuid potside --regid potside --clear-groups env HOME=/var/lib/potside"
WATCHDOG_S = 180


@dataclass(frozen=True, slots=True)
class Machine:
    """A machine under systemd, and the command that enters it."""

    enter: Sequence[str]

    async def does(self, words: str, given: str = "") -> str:
        """What a shell line prints there; it must end with 0."""
        code, printed = await self.tries(words, given)
        assert code == 0, f"{words}\n{printed}"
        return printed

    async def tries(self, words: str, given: str = "") -> tuple[int, str]:
        """How a shell line ends there, and what it prints."""
        pipe = subprocess.PIPE
        run = await asyncio.create_subprocess_exec(
            *self.enter, "/bin/bash", "-c", words, stdin=pipe, stdout=pipe, stderr=subprocess.STDOUT
        )
        printed, _ = await run.communicate(given.encode())
        assert run.returncode is not None
        return run.returncode, printed.decode(errors="replace")

    async def shows(self, name: str) -> str:
        """One property of the service."""
        return (await self.does(f"systemctl show potside --property={name} --value")).strip()

    async def comes_to(self, name: str, value: str, within_s: float) -> None:
        """Wait until a property of the service has this value."""
        ends = time.monotonic() + within_s
        while (found := await self.shows(name)) != value:
            assert time.monotonic() < ends, f"{name} is {found} and not {value} after {within_s:.0f} s"
            await asyncio.sleep(1)


def holds(words: str) -> None:
    """Say that a check held."""
    print(f"{datetime.now(UTC):%H:%M:%S} {words}", flush=True)


async def installed(machine: Machine, server: LoopbackServer) -> str:
    """Install it as deploy/README.md says; the owner's code."""
    await machine.does("id potside || useradd --system --home-dir /var/lib/potside --shell /usr/sbin/nologin potside")
    await machine.does("sh /opt/potside/demo/start.sh </dev/null")
    await machine.does("install -d -m 0750 /etc/potside")
    address = f"POTSIDE_BASE_URL=http://127.0.0.1:{server.port}"
    told = await machine.does(f"export {address}; {PYTHON} setup --file {SETTINGS}", f"{TOKEN}\n")
    assert TOKEN not in told, told
    assert (await machine.does(f"stat -c '%a %U' {SETTINGS}")).split() == ["600", "root"]
    await machine.does(f"echo {address} >> {SETTINGS}")
    await machine.does("cp /opt/potside/deploy/potside.service /etc/systemd/system/ && systemctl daemon-reload")
    verified = await machine.does("systemd-analyze verify /etc/systemd/system/potside.service")
    assert "potside" not in verified, verified
    holds("installed as deploy/README.md says; the unit has no word that systemd does not know")
    return told.splitlines()[1].rpartition(" ")[2]


async def started(machine: Machine, ida: Person, code: str) -> None:
    """It starts, says that it is ready, takes its owner and answers."""
    await machine.does("systemctl enable --now potside")  # returns when READY came
    assert await machine.shows("ActiveState") == "active"
    await ida.says(code)
    await ida.hears(1, 30)
    await answers(ida, "watered bench 2")
    holds("active by READY; the owner is in, the first note is answered")


async def answers(ida: Person, words: str, within_s: float = 60) -> None:
    """A note gets an answer of its own, whatever else the bot has to say meanwhile."""
    before = len(ida.read())
    await ida.says(words)
    await told(ida, before, "bench 2", within_s)


async def told(ida: Person, before: int, words: str, within_s: float) -> None:
    """Wait until one of the messages since then holds some words."""
    ends = time.monotonic() + within_s
    while not any(words in one for one in ida.read()[before:]):
        assert time.monotonic() < ends, ida.read()[before:]
        await asyncio.sleep(0.2)


async def killed(machine: Machine, ida: Person) -> None:
    """After a kill it comes again and what was typed meanwhile is answered once."""
    before = len(ida.read())
    await machine.does("systemctl kill --signal=SIGKILL potside")
    await ida.says("fed bench 2")
    await machine.comes_to("NRestarts", "1", 60)
    await told(ida, before, "Fed bench 2", 60)
    answered = [one for one in ida.read()[before:] if one.startswith("Fed bench 2")]
    assert len(answered) == 1, ida.read()[before:]
    holds("killed: started anew, the note typed meanwhile was answered once")


async def hangs(machine: Machine, ida: Person) -> None:
    """A process that stands still is started anew by the watchdog."""
    assert await machine.shows("WatchdogUSec") == "3min"
    await machine.does("kill -STOP $(systemctl show potside --property=MainPID --value)")
    await machine.comes_to("NRestarts", "1", WATCHDOG_S + 120)
    await answers(ida, "watered bench 2")
    holds("hung: the watchdog started it anew")


async def fenced(machine: Machine) -> None:
    """What the unit says of privileges and files holds for the running process."""
    pid = await machine.shows("MainPID")
    status = dict(re.findall(r"^(\w+):\s*(.*)$", await machine.does(f"cat /proc/{pid}/status"), re.MULTILINE))
    assert (status["NoNewPrivs"], status["Seccomp"], int(status["CapEff"], 16), int(status["CapBnd"], 16)) == ("1", "2", 0, 0)
    assert status["Umask"] == "0077"
    assert (await machine.does(f"ps -o user= -p {pid}")).strip() == "potside"
    within = f"nsenter --target {pid} --mount"
    for path in ("/opt/potside", "/etc", "/usr", "/var/log", "/boot"):
        code, printed = await machine.tries(f"{within} touch {path}/written")
        assert code, path
        assert "Read-only file system" in printed, printed
    await machine.does(f"{within} touch {STATE}/written && rm {STATE}/written")
    await machine.does("touch /home/seen /tmp/seen")
    assert not await machine.does(f"{within} ls -A /home /tmp | grep seen || true")
    devices = set((await machine.does(f"{within} ls /dev")).split())
    assert not devices & {"sda", "vda", "mem", "kmsg"}, devices
    assert (await machine.does(f"stat -c '%a %U' {STATE}")).split() == ["700", "potside"]
    security = (await machine.does("systemd-analyze security potside --no-pager")).splitlines()[-1]
    holds(f"fenced in: no privileges, system read-only, no home, a /tmp of its own; {security.strip(' →').strip()}")


async def looked_after(machine: Machine) -> None:
    """The nightly backup appears, the status can be asked, and no log line holds the token."""
    at = datetime.now(UTC) + timedelta(minutes=2)
    await machine.does(f"echo POTSIDE_BACKUP_AT={at:%H:%M} >> {SETTINGS}; systemctl restart potside")
    look = f"ls {STATE}/backups/*-daily.zip"
    for _ in range(240):
        if not (await machine.tries(look))[0]:
            break
        await asyncio.sleep(1)
    await machine.does(look)
    status = await machine.does(f"{PYTHON.replace('.venv', f'{AS_SERVICE} .venv')} status --db {STATE}/potside.db")
    assert "LOOK:" not in status, status
    journal = await machine.does("journalctl -u potside --no-pager")
    assert TOKEN not in journal
    assert "watered" not in journal.lower(), journal
    holds("a backup of the day; status has nothing to look at; no token and no words of notes in the journal")


async def stopped(machine: Machine) -> None:
    """It stops in time and cleanly; a wrong setting is not tried again and again."""
    begun = time.monotonic()
    await machine.does("systemctl stop potside")
    took_s = time.monotonic() - begun
    assert took_s < 10, took_s
    assert await machine.shows("Result") == "success"
    await machine.does(f"cp {SETTINGS} {SETTINGS}.good; echo POTSIDE_TOKNE=1 >> {SETTINGS}; systemctl start potside || true")
    await machine.comes_to("ActiveState", "failed", 30)
    assert await machine.shows("ExecMainStatus") == "2"
    assert "POTSIDE_TOKNE" in await machine.does("journalctl -u potside --no-pager -n 20")
    await machine.does(f"mv {SETTINGS}.good {SETTINGS}; systemctl reset-failed potside; systemctl start potside")
    assert await machine.shows("ActiveState") == "active"
    holds(f"stopped in {took_s:.1f} s; a misspelt setting is told and not tried again; mended, it runs")


async def walk(enter: Sequence[str]) -> None:
    """All of it, in the order of somebody who installs it."""
    api = BotApi(time.time)
    account: Account = api.add_bot(TOKEN, "bench_bot")
    machine, ida = Machine(enter), Person(api, account, 4_242)
    async with LoopbackServer(api) as server:
        await started(machine, ida, await installed(machine, server))
        await killed(machine, ida)
        await fenced(machine)
        await looked_after(machine)
        await stopped(machine)
        await answers(ida, "watered bench 2")
        await hangs(machine, ida)
    assert api.faults == [], api.faults


if __name__ == "__main__":
    asyncio.run(walk(sys.argv[1:]))
