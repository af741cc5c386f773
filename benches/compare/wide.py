"""A study with more choices: the same study without its lists of picks, but for the sections to keep.

    python wide.py catalogs/firewood/study.toml wide/study.toml --keep engine,relief,filters
"""

import argparse
import os
import re
from pathlib import Path


def widened(text, keep):
    """Without `pick = [...]` where its section is not kept."""
    parts = re.split(r"(?m)^(?=\[)", text)
    out = []
    for part in parts:
        section = re.match(r"\[+([\w-]+)", part)
        if section and section[1] not in keep:
            part = re.sub(r"(?m)^pick\s*=\s*\[[^\]]*\][^\n]*\n", "", part)
        out.append(part)
    return "".join(out)


def moved(text, folder, to):
    """Files of `[files]` seen from another folder."""
    def path(match):
        return f'{match[1]}"{os.path.relpath(folder / match[2], to).replace(os.sep, "/")}"'

    parts = re.split(r"(?m)^(?=\[)", text)
    return "".join(re.sub(r'(?m)^(\w+\s*=\s*)"([^"]*)"', path, part) if part.startswith("[files]") else part
                   for part in parts)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("study", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--keep", default="", help="sections whose picks stay, such as engine,relief,filters")
    options = parser.parse_args()
    text = widened(options.study.read_text(encoding="utf-8"), options.keep.split(","))
    options.out.parent.mkdir(parents=True, exist_ok=True)
    options.out.write_text(moved(text, options.study.parent, options.out.parent), encoding="utf-8")


if __name__ == "__main__":
    main()
