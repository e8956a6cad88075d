#!/usr/bin/env python3
"""Deliberate faults: mutants.py BUILD [NAME...]. Each patch of tests/simulation/mutants is applied to a scratch copy,
the one file it changes is compiled and linked in front of the ordinary build, and the simulator has to catch it within
the number of seeds its patch names. A survivor fails; so does a patch that does not apply or compile."""
import concurrent.futures
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
FOLDERS = ("engine", "hub")


class Fault(Exception):
    pass


def run(command, folder, what):
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    if done.returncode != 0:
        raise Fault(f"{what}:\n{done.stdout}{done.stderr}")
    return done.stdout


class Build:
    """How the ordinary build compiles a file and links the simulator."""

    def __init__(self, folder):
        self.folder = os.path.abspath(folder)
        with open(os.path.join(self.folder, "compile_commands.json"), encoding="utf-8") as file:
            self.compile = {entry["file"]: entry for entry in json.load(file)}
        lines = run(["ninja", "-t", "commands", "honbu_simulation"], self.folder, "no link command")
        # CMake wraps it as ": && LINK && :".
        link = lines.strip().splitlines()[-1].split("&&")[1]
        self.link = shlex.split(link)

    def object_of(self, source, scratch):
        entry = self.compile.get(os.path.join(ROOT, source))
        if entry is None:
            raise Fault(f"{source} is no file of the ordinary build")
        out = os.path.join(scratch, "mutant.o")
        words = shlex.split(entry["command"])
        words[words.index("-o") + 1] = out
        words[words.index("-c") + 1] = os.path.join(scratch, source)
        words = [f"-I{scratch}" if word == f"-I{ROOT}" else word for word in words]
        run(words, entry["directory"], "the mutant does not compile")
        return out

    def program_of(self, mutant, scratch):
        out = os.path.join(scratch, "simulation")
        words = list(self.link)
        words[words.index("-o") + 1] = out
        first = next(i for i, word in enumerate(words) if word.endswith(".o"))
        words.insert(first, mutant)  # before the libraries: what it defines is not taken from there
        run(words, self.folder, "the mutant does not link")
        return out


def hunt(build, name):
    """Answers (what happened, was it caught)."""
    began = time.monotonic()
    patch = os.path.join(HERE, "mutants", name + ".patch")
    with open(patch, encoding="utf-8") as file:
        text = file.read()
    seeds = int(re.search(r"^Caught within (\d+) seeds\.$", text, re.M).group(1))
    source = re.search(r"^\+\+\+ b/(\S+\.cpp)$", text, re.M).group(1)
    scratch = os.path.join(build.folder, "mutants", name)
    shutil.rmtree(scratch, ignore_errors=True)
    for folder in FOLDERS:
        shutil.copytree(os.path.join(ROOT, folder), os.path.join(scratch, folder),
                        ignore=shutil.ignore_patterns("node_modules"))
    try:
        run(["patch", "-p1", "-F1", "-s", "-i", patch], scratch, "the patch does not apply any more")
        program = build.program_of(build.object_of(source, scratch), scratch)
        done = subprocess.run([program, "--seeds", str(seeds)], capture_output=True, text=True, timeout=300)
    except Fault as fault:
        return f"{name}: {fault}", False
    finally:
        for folder in FOLDERS:
            shutil.rmtree(os.path.join(scratch, folder), ignore_errors=True)
    spent = f"{time.monotonic() - began:.1f} s"
    said = re.search(r"^seed (\d+): (.*)$", done.stderr, re.M)
    if done.returncode == 0 or said is None:
        return f"{name}: SURVIVED {seeds} seeds ({spent})\n{done.stderr}", False
    return f"{name}: seed {said.group(1)} of {seeds}, {spent}: {said.group(2)[:110]}", True


def main():
    if len(sys.argv) < 2:
        print(__doc__)
        return 2
    build = Build(sys.argv[1])
    names = sys.argv[2:] or sorted(f[:-6] for f in os.listdir(os.path.join(HERE, "mutants")) if f.endswith(".patch"))
    if len(names) == 0:
        print("no mutants")
        return 1
    with concurrent.futures.ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        ends = list(pool.map(lambda name: hunt(build, name), names))
    for words, _ in ends:
        print(words)
    caught = sum(1 for _, yes in ends if yes)
    print(f"{caught} of {len(ends)} mutants caught")
    return 0 if caught == len(ends) else 1


sys.exit(main())
