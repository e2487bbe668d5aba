"""The Dockerfile's steps for real, without a container engine, as root on Linux: ``python .ci/image.py``.

A plain Debian root made by debootstrap stands for the base image. Each stage gets a copy of it, each COPY, RUN and USER
is done in that stage by chroot, then the command runs as the image's user, without any privilege, on a file system that
is read-only but for what a container has besides: a memory-backed /dev/shm, /proc. It must get ready, answer a sample
plan, be unable to write, pass the image's own health check, and end orderly on SIGTERM.
"""

from __future__ import annotations

import argparse
import json
import os
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[1]
SUITE = "bookworm"
PACKAGES = "python3-minimal,python3-venv,ca-certificates"
PORT = 8000
READY_SECONDS = 60
FROM_HOST = ("/etc/resolv.conf", "/etc/hosts", "/etc/pip.conf", "/etc/xdg/pip", "/etc/ssl/certs")
"""How this machine reaches a package index; none of it stays in what runs."""


@dataclass(slots=True)
class Stage:
    """What the lines of one stage come to."""

    name: str
    root: Path
    workdir: str = "/"
    environment: dict[str, str] = field(default_factory=dict)
    user: str = "0"
    command: list[str] = field(default_factory=list)
    health: list[str] = field(default_factory=list)


def instructions(text: str) -> list[tuple[str, str]]:
    """Keyword and rest of each instruction, continued lines joined."""
    joined = text.replace("\\\n", " ")
    lines = (line.strip() for line in joined.splitlines())
    return [(w.upper(), rest.strip()) for w, _, rest in (x.partition(" ") for x in lines if x and x[0] != "#")]


def base(directory: Path) -> Path:
    """A plain root with Python, as the base image has it: ``python`` on the path."""
    root = directory / "base"
    run(["debootstrap", "--variant=minbase", f"--include={PACKAGES}", SUITE, str(root)], quiet=True)
    (root / "usr/local/bin/python").symlink_to("/usr/bin/python3")
    return root


def build(directory: Path) -> Stage:
    """All stages in turn; the last is what runs."""
    plain, stages = base(directory), list[Stage]()
    for word, rest in instructions((SOURCE / "Dockerfile").read_text(encoding="utf-8")):
        if word == "FROM":
            name = rest.partition(" AS ")[2] or "last"
            stages.append(Stage(name, directory / f"stage-{name}"))
            run(["cp", "--archive", str(plain), str(stages[-1].root)])
        else:
            print(f"[{stages[-1].name}] {word} {rest}", flush=True)
            step(stages, word, rest)
    return stages[-1]


def step(stages: list[Stage], word: str, rest: str) -> None:
    """One instruction. ValueError for one that nobody here knows, so that none is passed over."""
    stage = stages[-1]
    if word == "WORKDIR":
        stage.workdir = rest
        (stage.root / rest.lstrip("/")).mkdir(parents=True, exist_ok=True)
    elif word == "COPY":
        copy(stages, rest)
    elif word == "RUN":
        in_root(stage, rest)
    elif word == "ENV":
        pairs = (p.partition("=") for p in shlex.split(rest))
        stage.environment.update({k: v.replace("$PATH", search_path(stage)) for k, _, v in pairs})
    elif word == "USER":
        stage.user = rest
    elif word == "CMD":
        stage.command = json.loads(rest)
    elif word == "HEALTHCHECK":
        stage.health = json.loads(rest.partition("CMD")[2])
    elif word not in ("EXPOSE", "STOPSIGNAL"):
        raise ValueError(word)


def search_path(stage: Stage) -> str:
    """Where programs are looked for."""
    return stage.environment.get("PATH", "/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin")


def copy(stages: list[Stage], rest: str) -> None:
    """From the source or from an earlier stage."""
    words = shlex.split(rest)
    origin = SOURCE
    if words[0].startswith("--from="):
        origin = next(s.root for s in stages if s.name == words.pop(0).removeprefix("--from="))
    *names, target = words
    into = stages[-1].root / str(Path(stages[-1].workdir) / target).lstrip("/")
    for name in names:
        thing = origin / name.lstrip("/")
        if thing.is_dir():
            leave = shutil.ignore_patterns("__pycache__") if origin == SOURCE else None
            shutil.copytree(thing, into, symlinks=True, dirs_exist_ok=True, ignore=leave)
        else:
            into.mkdir(parents=True, exist_ok=True)
            shutil.copy(thing, into)


def in_root(stage: Stage, line: str) -> None:
    """A shell line in the stage's root, with this machine's way to a package index lent for its time."""
    lent = [p for p in (*FROM_HOST, *wheel_directories()) if Path(p).exists()]
    mounts = "".join(bound(p, stage.root) for p in lent)
    carried = {k: v for k, v in os.environ.items() if k.startswith("PIP_")}
    settings = carried | {"PATH": search_path(stage), "PIP_DISABLE_PIP_VERSION_CHECK": "1"}
    inner = f"cd {shlex.quote(stage.workdir)} && {line}"
    script = f"{mounts}exec chroot {shlex.quote(str(stage.root))} /bin/sh -ec {shlex.quote(inner)}"
    run(["unshare", "--mount", "/bin/sh", "-ec", script], settings | stage.environment)


def wheel_directories() -> list[str]:
    """Directories of packages on this disk that pip is told of, if any."""
    told = subprocess.run([sys.executable, "-m", "pip", "config", "list"], capture_output=True, text=True).stdout
    places = told.replace("'", " ").replace("file://", " ").split()
    return sorted({p.removesuffix("/simple") for p in places if p.startswith("/") and Path(p).is_dir()})


def bound(path: str, root: Path) -> str:
    """Shell line that makes a path of this machine seen in a root, for as long as the shell's mounts last."""
    there = shlex.quote(f"{root}{path}")
    make = f"mkdir -p {there}" if Path(path).is_dir() else f"mkdir -p $(dirname {there}); touch {there}"
    return f"{make}; mount --bind {shlex.quote(path)} {there}\n"


def start(stage: Stage) -> subprocess.Popen[bytes]:
    """The image's command as the image's user: no privileges, read-only, own processes."""
    root = shlex.quote(str(stage.root))
    mounts = f"mount --bind {root} {root}; mount -o remount,bind,ro {root}; mount -t proc proc {root}/proc\n"
    mounts += f"mount -t tmpfs -o size=64m,mode=1777 shm {root}/dev/shm\n"
    bare = f"setpriv --reuid {stage.user} --regid {stage.user} --clear-groups --no-new-privs --bounding-set=-all"
    command = " ".join(shlex.quote(w) for w in stage.command)
    inner = f"exec {bare} --inh-caps=-all {command}"
    settings = {"PATH": search_path(stage)} | stage.environment
    script = f"{mounts}\nexec chroot {root} /bin/sh -ec {shlex.quote(inner)}"
    return subprocess.Popen(["unshare", "--mount", "/bin/sh", "-ec", script], env=settings)


def tried(stage: Stage) -> None:
    """Everything that a container of the image must do; RuntimeError if it does not."""
    before = contents(stage.root)
    server = start(stage)
    try:
        wait_until_ready(server)
        plan = (SOURCE / "sample_plans/slab_house.json").read_bytes()
        asked = urllib.request.Request(url("/v1/placements"), plan, {"Content-Type": "application/json"})
        with urllib.request.urlopen(asked, timeout=60) as response:
            answer = json.load(response)
        print(f"answered: {answer['status']}, cost {answer['cost']}, gap {answer['gap']}")
        need(answer["status"] == "optimal", "the sample plan was not solved")
        need(all(owner != 0 for owner in owners(server.pid)), "a process runs as root")
        writes = ["python", "-c", "open('/written', 'w')"]
        need(entered(server, stage, writes) != 0, "the file system can be written to")
        need(entered(server, stage, stage.health) == 0, "the image's own health check fails")
    finally:
        server.send_signal(signal.SIGTERM)
        code = server.wait(130)
    need(code == 0, f"it ended with {code}")
    need(contents(stage.root) == before, "files were left behind")


def wait_until_ready(server: subprocess.Popen[bytes]) -> None:
    """RuntimeError if it does not get there."""
    began = time.monotonic()
    while time.monotonic() < began + READY_SECONDS and server.poll() is None:
        try:
            with urllib.request.urlopen(url("/readyz"), timeout=5):
                print(f"ready after {time.monotonic() - began:.1f} s")
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("it did not get ready")


def entered(server: subprocess.Popen[bytes], stage: Stage, command: list[str]) -> int:
    """Exit code of a command in the running server's own view of the disk, as its user."""
    view = ["nsenter", f"--mount=/proc/{server.pid}/ns/mnt", "chroot", f"--userspec={stage.user}:{stage.user}"]
    settings = {"PATH": search_path(stage)} | stage.environment
    return subprocess.run([*view, str(stage.root), *command], env=settings, stderr=subprocess.DEVNULL).returncode


def owners(process: int) -> list[int]:
    """Users of a process and its children."""
    below = Path(f"/proc/{process}/task/{process}/children").read_text("ascii").split()
    return [Path(f"/proc/{p}").stat().st_uid for p in (process, *below)]


def contents(root: Path) -> set[str]:
    """Every path in a root."""
    return {str(p.relative_to(root)) for p in root.rglob("*") if not p.is_relative_to(root / "proc")}


def url(path: str) -> str:
    """Address of the running server."""
    return f"http://127.0.0.1:{PORT}{path}"


def need(holds: bool, otherwise: str) -> None:
    """RuntimeError with a reason unless something holds."""
    if not holds:
        raise RuntimeError(otherwise)


def run(command: list[str], environment: dict[str, str] | None = None, quiet: bool = False) -> None:
    """Run a command that must succeed."""
    out = subprocess.DEVNULL if quiet else None
    subprocess.run(command, check=True, env=environment, stdout=out)


def main() -> int:
    """Build, try, take away; the exit code."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", type=Path, help="build here and leave it")
    options = parser.parse_args()
    missing = [tool for tool in ("debootstrap", "unshare", "setpriv", "nsenter") if shutil.which(tool) is None]
    if missing or os.geteuid() != 0:
        print(f"not tried: needs root and {', '.join(missing) or 'nothing else'}")
        return 1
    directory = options.keep or Path(tempfile.mkdtemp())
    try:
        tried(build(directory))
    finally:
        if options.keep is None:
            shutil.rmtree(directory)
    print("the image's steps hold: built, read-only, without root, ended orderly, nothing left behind")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
