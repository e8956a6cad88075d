#!/usr/bin/env python3
"""Tries tidy.py on the samples in bad/: each says where it would stand and how many findings of which rule it holds, and
beside the offences holds what looks like one and is none. Every rule has to have a sample. `~` is taken out first: it splits what would be
an offence where the sample stands."""
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
import tidy  # noqa: E402


def main() -> int:
    failures, tried = [], set()
    folder = os.path.join(HERE, "bad")
    names = sorted(os.listdir(folder))
    for name in names:
        with open(os.path.join(folder, name), encoding="utf-8") as file:
            first, second, text = file.read().replace("~", "").split("\n", 2)
        path = re.fullmatch(r"// as: (\S+)", first).group(1)
        expected = {rule: int(count) for rule, count in re.findall(r"(\w+)=(\d+)", second.removeprefix("// expect: "))}
        tried |= set(expected)
        findings = tidy.check_file(path, text)
        found: dict[str, int] = {}
        for rule, _, _ in findings:
            found[rule] = found.get(rule, 0) + 1
        if found != expected:
            failures.append(f"bad/{name}: expected {expected}, found {found}:")
            failures += [f"    line {line + 2}: {rule}: {message}" for rule, line, message in findings]
    for rule in tidy.RULES:
        if rule.__name__ not in tried:
            failures.append(f"no sample in bad/ for the rule {rule.__name__}")
    stray = [message for _, _, message in tidy.check_top_level(["README.md", ".ci", "engine", "notes.txt", "src"])]
    if len(stray) != 2 or "'notes.txt'" not in stray[0] or "'src'" not in stray[1]:
        failures.append(f"top level: expected notes.txt and src, found {stray}")
    twice = [("hub/a.h", "namespace honbu {\nstruct Line {\n    struct Part {};\n};\n}\n"),
             ("hub/b.cpp", "namespace honbu {\nstruct Line;\nnamespace {\nstruct Line {};\n}\nstruct Other::Line {};\nnamespace b {\nstruct Line {};\n}\n}\n"),
             ("hub/c.cpp", "namespace honbu {\nclass Line final : public Other {};\n}\n")]
    same = [(path, line) for path, _, line, _ in tidy.same_names(twice)]
    if same != [("hub/c.cpp", 2)]:
        failures.append(f"same names: expected hub/c.cpp, line 2, found {same}")
    print("\n".join(failures) if failures else f"{len(names)} samples, {len(tidy.RULES)} rules: each offence found, nothing else.")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
