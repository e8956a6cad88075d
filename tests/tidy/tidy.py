#!/usr/bin/env python3
"""The style of the house, checked by text: tidy.py [ROOT]. Prints file:line: rule: what to do, and fails if anything
was found. Each rule is a function below; tests/tidy/bad holds a sample for each, tidy_selftest.py tries them all.
What compilers and clang-format already check is not here."""
import os
import re
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from source_text import block_after, code_only, line_of, statement_around  # noqa: E402

LINES_MAX = 400
COLUMNS_MAX = 100
TOP_LEVEL = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "hub", "proto", "clients", "engine", "tests", "deploy", "docs"}

# -- Who may include whom. The first pattern that fits a path decides. -----------------------------------------------
# "std" is any standard header; ENGINE_NEVER and the names below stand for headers of the outside world.
OUTSIDE = {
    "asio": r"boost/(asio|beast)\b.*",
    "boost": r"boost/(?!asio|beast).*",
    "sqlite": r"sqlite3\.h",
    "protobuf": r"google/protobuf/.*|honbu/v1/.*\.pb\.h",
    "spdlog": r"(spdlog|fmt)/.*",
    "cli": r"CLI/.*",
    "openssl": r"openssl/.*",
    "x86": r"(immintrin|cpuid)\.h",
    "gtest": r"g(test|mock)/.*",
    "rapidcheck": r"rapidcheck(\.h|/.*)",
    "posix": r"(sys|netinet|arpa|net|linux)/.*|(unistd|fcntl|poll|signal|errno|pthread|ifaddrs|netdb|dirent)\.h",
}
INCLUDES = [  # path, project folders it may include, outside headers it may include
    (r"engine/record/sha256_x86\.", ["engine/"], ["x86"]),
    (r"engine/", ["engine/"], []),
    (r"hub/core/", ["engine/", "hub/core/", "hub/fault.h", "hub/insist.h"], ["boost"]),
    (r"hub/competition/", ["engine/", "hub/core/", "hub/competition/", "hub/insist.h"], []),
    (r"hub/wire/", ["engine/", "hub/core/", "hub/wire/", "hub/words/", "hub/fault.h", "hub/insist.h"], ["boost", "protobuf"]),
    (r"hub/certificates/", ["hub/certificates/", "hub/fault.h", "hub/insist.h", "hub/clock.h", "hub/text_file.h"], ["boost", "posix", "openssl"]),
    (r"hub/words/", ["engine/", "hub/words/", "hub/insist.h"], []),
    (r"hub/journal/", ["engine/record/", "hub/core/", "hub/journal/", "hub/fault.h", "hub/insist.h"], ["boost", "sqlite", "posix", "spdlog"]),
    (r"hub/feed/", ["engine/", "hub/core/", "hub/wire/", "hub/words/", "hub/feed/", "hub/fault.h", "hub/insist.h"], ["boost"]),
    (r"hub/net/", ["engine/record/", "hub/core/", "hub/wire/", "hub/feed/", "hub/net/", "hub/certificates/", "hub/fault.h", "hub/insist.h", "hub/clock.h"],
     ["asio", "boost", "posix", "spdlog", "openssl"]),
    (r"clients/sim/loop\.", ["clients/sim/"], ["asio"]),
    (r"clients/sim/main\.", ["clients/sim/"], ["cli"]),
    (r"clients/sim/", ["engine/", "hub/core/", "hub/wire/", "clients/sim/", "tests/generate/"], ["posix"]),
    (r"tests/crash/", ["engine/", "hub/journal/", "tests/crash/"], []),
    (r"tests/simulation/(checker|reading|told)[a-z_]*\.", ["engine/", "tests/simulation/"], []),  # knows nothing of the hub
    (r"tests/simulation/", ["engine/", "hub/core/", "hub/wire/", "hub/feed/", "tests/"], ["boost", "protobuf"]),
    (r"tests/property/", ["engine/", "hub/core/", "hub/wire/", "hub/feed/", "tests/"], ["boost", "gtest", "rapidcheck"]),
    (r"tests/generate/", ["engine/", "tests/generate/"], []),
    (r"tests/conformance/", ["engine/", "tests/"], ["gtest", "posix"]),
]
NOT_IN_ENGINE = {"cassert", "chrono", "condition_variable", "cstdio", "ctime", "exception", "filesystem", "fstream", "future",
                 "iostream", "istream", "locale", "mutex", "ostream", "random", "regex", "sstream", "stdexcept", "thread"}
NOT_IN_CORE = {"condition_variable", "fstream", "future", "iostream", "mutex", "random", "thread"}

BANNED_WORDS = {"manager", "util", "utils", "utility", "helper", "helpers", "handler", "handlers", "common", "base", "impl",
                "data", "info", "misc"}
C_HEADERS = {"assert", "complex", "ctype", "errno", "fenv", "float", "inttypes", "limits", "locale", "math", "memory", "setjmp",
             "signal", "stdarg", "stdint", "stdio", "stdlib", "string", "strings", "threads", "time", "uchar", "unistd", "wchar"}

CPP = (".cpp", ".h")
SCRIPT = (".ts", ".tsx", ".mjs")


class File:
    """One file as the rules see it: where it is, its text, and its text without comments and literals."""

    def __init__(self, path: str, text: str):
        self.path, self.text = path, text
        self.name = os.path.basename(path)
        self.is_cpp, self.is_script = path.endswith(CPP), path.endswith(SCRIPT)
        self.code = code_only(text, self.is_script) if self.is_cpp or self.is_script else text

    def within(self, *folders: str) -> bool:
        return self.path.startswith(folders)

    def places(self, pattern: str, text: str | None = None, flags: int = 0):
        where = self.code if text is None else text
        for match in re.finditer(pattern, where, flags):
            yield line_of(where, match.start()), match


OURS = ("engine/", "hub/", "clients/", "tests/")


def includes(f: File):
    if not f.is_cpp:
        return
    for pattern, folders, outside in INCLUDES:
        if re.match(pattern, f.path):
            break
    else:
        return
    for line, match in f.places(r'^[ \t]*#[ \t]*include[ \t]*([<"])([^>"]+)[>"]', f.text, re.M):
        header = match.group(2)
        kind = next((name for name, known in OUTSIDE.items() if re.fullmatch(known, header)), None)
        if kind:
            allowed = kind in outside
        elif "/" in header or header.endswith(".h"):
            allowed = header.startswith(tuple(folders))
        else:
            never = NOT_IN_ENGINE if f.within("engine/") else NOT_IN_CORE if f.within("hub/core/") else set()
            allowed = header not in never
        if not allowed:
            yield line, f"{os.path.dirname(f.path)} may not include {header} (INCLUDES in tests/tidy/tidy.py says what it may)"


def file_length(f: File):
    lines = f.text.count("\n")
    if f.within("engine/", "hub/", "clients/") and (f.is_cpp or f.is_script or f.path.endswith(".css")) and lines > LINES_MAX:
        yield lines, f"{lines} lines; {LINES_MAX} is the most: split it by what it does"


def columns(f: File):
    if f.is_cpp and f.within(*OURS):
        for number, line in enumerate(f.text.split("\n"), 1):
            if len(line) > COLUMNS_MAX:
                yield number, f"{len(line)} columns; {COLUMNS_MAX} is the most"


def header_comment(f: File):
    if f.path.endswith(".h") and f.within("engine/", "hub/"):
        if not re.match(r"(//[^\n]*\n)+#pragma once\n", f.text):
            yield 1, "a header begins with its comment (what, which thread, who owns, what it promises), then #pragma once"


def reads_clock(f: File):
    if f.is_cpp and f.within("engine/", "hub/") and f.path != "hub/clock.cpp":
        for line, match in f.places(r"\w*_clock\s*::\s*now\b|\b(gettimeofday|clock_gettime|localtime\w*|gmtime\w*)\s*\(|\btime\s*\(\s*(nullptr|NULL|0)\s*\)"):
            yield line, f"'{match.group(0)}': time is an argument; only hub/clock.cpp reads a clock"


def random_numbers(f: File):
    if f.is_cpp and f.within("engine/", "hub/") and not re.fullmatch(r"hub/(\w+|net/token\w*)\.cpp", f.path):
        for line, match in f.places(r"\b(s?rand\s*\(|random_device\b|mt19937\w*|getrandom\s*\(|getentropy\s*\()"):
            yield line, f"'{match.group(0).strip(' (')}': random numbers come from hub/*.cpp, where names and tokens are made"


def floating_point(f: File):
    if f.is_cpp and f.within("engine/", "hub/core/"):
        for line, match in f.places(r"\b(float|double)\b"):
            yield line, f"'{match.group(0)}': whole milliseconds and counts only, they are the same on every machine"


def using_namespace(f: File):
    if f.path.endswith(".h"):
        for line, _ in f.places(r"\busing\s+namespace\b"):
            yield line, "using namespace in a header reaches everybody who includes it"


def swallowed_exception(f: File):
    if f.is_cpp:
        for line, match in f.places(r"\bcatch\s*\(\s*\.\.\.\s*\)"):
            if not re.search(r"\bthrow\s*;|\brethrow_exception\b|\bcurrent_exception\b", block_after(f.code, match.end())):
                yield line, "catch (...) that does not rethrow hides what went wrong; catch the type that can come"


def detached_thread(f: File):
    if f.is_cpp:
        for line, _ in f.places(r"(\.|->)\s*detach\s*\(\s*\)"):
            yield line, "a detached thread outlives what it uses; own it and join it"


def sleeping_test(f: File):
    if f.within("tests/") and (f.is_cpp or f.is_script):
        for line, match in f.places(r"\b(sleep_for|sleep_until|usleep|nanosleep|waitForTimeout)\s*\(|(?<![\w.:])sleep\s*\(\s*\d"):
            yield line, f"'{match.group(0).strip(' (')}' in a test: wait for the thing itself, not for a time"


def switch_default(f: File):
    if f.is_cpp and f.within("engine/", "hub/"):
        for line, _ in f.places(r"\bdefault\s*:(?!:)"):
            yield line, "default: hides the case nobody thought of; name them all, the compiler then finds a missing one"


def catch_all_visit(f: File):
    if f.is_cpp and f.within("engine/", "hub/"):
        for line, match in f.places(r"\b[Oo]ver\w*\s*\{"):
            found = re.search(r"\]\s*\(\s*(const\s+)?auto\b[^,()]*\)", block_after(f.code, match.start()))
            if found:
                yield line, "an `auto` case takes every alternative nobody thought of; name them all"


def macro(f: File):
    if f.is_cpp and f.within("engine/", "hub/"):
        for line, match in f.places(r"^[ \t]*#[ \t]*define[ \t]+(?!INSIST\b)(\w+)", flags=re.M):
            yield line, f"macro {match.group(1)}: a constant or a function does it; INSIST is the only macro"


def test_switch(f: File):
    if f.is_cpp and f.within("engine/", "hub/"):
        for line, match in f.places(r"(?<![a-zA-Z])(is|in|for)_(unit_)?test(s|ing)?\b|\bFRIEND_TEST\b"):
            yield line, f"'{match.group(0)}': production code does not know that it is tested; use a port"


def banned_name(f: File):
    if not f.within("engine/", "hub/", "clients/", "tests/", "proto/") or f.within("tests/tidy/"):
        return
    for word in re.split(r"[_.\-]", f.name.lower()):
        if word in BANNED_WORDS:
            yield 1, f"file name with '{word}': say what it is"
    if f.is_cpp or f.is_script or f.path.endswith(".proto"):
        keywords = r"(?<![<,])(?<![<,] )\b(?:class|struct|enum\s+class|enum|concept|interface|message|type)\s+([A-Z]\w*)"
        for line, match in f.places(keywords):
            for word in re.findall(r"[A-Z][a-z0-9]*", match.group(1)):
                if word.lower() in BANNED_WORDS:
                    yield line, f"'{match.group(1)}': a name with '{word.lower()}' hides a missing idea; say what it is"


def c_header_name(f: File):
    if f.path.endswith(".h") and f.name[:-2] in C_HEADERS:
        yield 1, f"a header named like the C library's {f.name}; choose another name"


def left_marker(f: File):
    words = "|".join(["TO" + "DO", "FIX" + "ME", "XX" + "X", "HA" + "CK"])
    for line, match in f.places(rf"\b({words})\b(?!\s*\(?#\d+)", f.text):
        yield line, f"{match.group(0)} without a number of what it waits for; do it now, or file it and name the number"


def await_shape(f: File):
    if not f.is_cpp or f.path == "tests/toolchain/coroutine_probe.cpp":
        return
    for line, match in f.places(r"\bco_await\b"):
        statement = statement_around(f.code, match.start())
        shape = "braces (a built value or a lambda)" if "{" in statement else "?:" if "?" in statement else None
        if shape:
            yield line, f"{shape} in a statement with co_await: g++ 12 destroys it twice; name it on the line above"


def lambda_coroutine(f: File):
    if f.is_cpp and f.within("hub/", "clients/", "tests/"):
        for line, _ in f.places(r"\]\s*(\([^()]*\))?\s*(mutable\s*)?->\s*[\w:]*(awaitable|Task)\b"):
            yield line, "a lambda that is a coroutine: what it captured dies first; write a named function"


def composed_await(f: File):
    if f.is_cpp:
        for line, _ in f.places(r"\bawaitable_operators\b|awaitable_operators\.hpp", f.text):
            yield line, "no && or || of awaitables; a timer that cancels is easier to reason about"


# Bout times and hold times in milliseconds or seconds-with-milliseconds, as any era has them.
RULE_NUMBERS = {15000, 20000, 25000, 30000, 120000, 180000, 240000, 300000}
SCORE = r"(?:[A-Za-z_$][\w$]*\??\.)*[\w$]*(?:waza|yuko|koka|ippon|shido|score)[\w$]*(?:\(\))?(?:\??\.[\w$]+|\[[^\]]*\])*"
COMPARE = r"\s*(?:===?|!==?|<=?|>=?)\s*"


def rule_in_page(f: File):
    if not (f.is_script and f.within("clients/web/src/")):
        return
    for line, match in f.places(r"(?<![\w.])\d[\d_]*(?:e\d+)?\b(?![\w.])"):
        number = match.group(0).replace("_", "")
        if "e" in number and float(number) in RULE_NUMBERS or number.isdigit() and int(number) in RULE_NUMBERS:
            yield line, f"{match.group(0)} looks like a bout or hold time; times come from the engine"
    for line, match in f.places(rf"{SCORE}{COMPARE}(?:[1-9]\d*\b|{SCORE})|\b[1-9]\d*{COMPARE}{SCORE}", flags=re.I):
        yield line, f"'{match.group(0)}' compares scores; what follows from a score is the engine's to say"


def machine_name(f: File):
    forbidden = ["/wo" + "rk/", "/fa" + "rm/", r"\.lib" + "rary", r"(?<![\w./-])sha" + "red/", r"registry\.np" + "mjs", r"deb\.deb" + "ian",
                 r"nodeso" + r"urce\.com", "seed " + "document", r"\bAnth" + r"ropic\b", r"\bOpen" + r"AI\b", r"\bLL" + r"Ms?\b"]
    for line, match in f.places("|".join(forbidden), f.text):
        yield line, f"'{match.group(0)}' is about one machine or one workplace; the project names neither"


def lock_addresses(f: File):
    if f.name == "package-lock.json":
        for line, _ in f.places(r'"resol' + r'ved"\s*:', f.text):
            yield line, "the lock file holds a download address; clients/web/.npmrc keeps them out (npm install --package-lock-only)"


RULES = [includes, file_length, columns, header_comment, reads_clock, random_numbers, floating_point, using_namespace,
         swallowed_exception, detached_thread, sleeping_test, switch_default, catch_all_visit, macro, test_switch, banned_name,
         c_header_name, left_marker, await_shape, lambda_coroutine, composed_await, rule_in_page, machine_name, lock_addresses]


def check_file(path: str, text: str):
    """[(rule, line, message)] for one file that stands, or would stand, at path."""
    f = File(path, text)
    return [(rule.__name__, line, message) for rule in RULES for line, message in rule(f)]


def check_top_level(names):
    return [("top_level", 1, f"'{name}' at the top level: it is exactly {', '.join(sorted(TOP_LEVEL))} and dotfiles")
            for name in sorted(set(names)) if name not in TOP_LEVEL and not name.startswith(".")]


def types_of(path: str, text: str):
    """[(qualified name, line)] of the types a file defines outside unnamed namespaces and outside other types."""
    code, opened, found = code_only(text), [], []
    for match in re.finditer(r"[{}]|\bnamespace(?P<space>[\w: ]*)\{|^(?:struct|class)\s+(?P<type>\w+)(?!\w|::)[^;{}()]*\{", code, re.M):
        if match.group(0) == "}":
            if opened:
                opened.pop()
        elif match.group("space") is not None:
            opened.append(match.group("space").strip() or "?")
        elif match.group("type") and all(opened) and "?" not in opened:
            found.append(("::".join([*opened, match.group("type")]), line_of(code, match.start())))
            opened.append("")
        else:
            opened.append("")
    return found


def same_names(files):
    """Two types of one name in one program: their constructors are one function to the linker, and either may be taken."""
    first: dict[str, str] = {}
    for path, text in files:
        for name, line in types_of(path, text):
            if first.setdefault(name, path) != path:
                yield path, "same_name", line, f"{first[name]} has another {name}; the program would mix them up: rename one"


def check_tree(root: str) -> int:
    listed = subprocess.run(["git", "-C", root, "ls-files", "-z", "-co", "--exclude-standard"], capture_output=True, check=True)
    paths = sorted({name for name in listed.stdout.decode().split("\0") if name and os.path.isfile(os.path.join(root, name))})
    found = [("", *each) for each in check_top_level(path.split("/")[0] for path in paths)]
    checked = 0
    of_the_program = []
    for path in paths:
        if path.startswith("tests/tidy/bad/"):
            continue
        with open(os.path.join(root, path), "rb") as file:
            content = file.read()
        if b"\0" in content:
            continue  # a picture or a sound
        checked += 1
        text = content.decode("utf-8", "replace")
        found += [(path, *each) for each in check_file(path, text)]
        if re.fullmatch(r"(hub|engine)/.*\.(h|cpp)", path):
            of_the_program.append((path, text))
    found += same_names(of_the_program)
    for path, rule, line, message in found:
        print(f"{path}:{line}: {rule}: {message}")
    print(f"{checked} files, {len(found)} to mend")
    return 1 if found or checked == 0 else 0


if __name__ == "__main__":
    sys.exit(check_tree(sys.argv[1] if len(sys.argv) > 1 else "."))
