#!/usr/bin/env python3
"""clang-format over all tracked C++: format.py ROOT CLANG_FORMAT. Names the files that differ and how to mend them."""
import os
import subprocess
import sys


def main() -> int:
    root, clang_format = sys.argv[1], sys.argv[2]
    listed = subprocess.run(["git", "-C", root, "ls-files", "-z", "*.h", "*.cpp"], capture_output=True, check=True, text=True)
    files = [name for name in listed.stdout.split("\0") if name and not name.startswith("tests/tidy/bad/")]
    files = [name for name in files if os.path.exists(os.path.join(root, name))]
    wrong = []
    for start in range(0, len(files), 50):
        batch = files[start:start + 50]
        done = subprocess.run([clang_format, "--dry-run", "-Werror", *batch], cwd=root, capture_output=True, text=True)
        if done.returncode != 0:
            wrong += sorted({line.split(":")[0] for line in done.stderr.splitlines() if ": error:" in line})
    if wrong:
        print(f"{len(wrong)} of {len(files)} files are not formatted. Mend them with:\n  clang-format -i {' '.join(wrong)}")
        return 1
    print(f"{len(files)} files are formatted.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
