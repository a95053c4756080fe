"""`python -m tests.trust.fuzzing FOLDER TARGETS [flags of libFuzzer]`: coverage-guided fuzzing (atheris).

FOLDER takes what is found: for each target its corpus as it grows, the input of a fault, and `log`. The modules that
read are instrumented as they are imported, which takes seconds: hence once, and then a process for each target.
"""

import os
import sys
from pathlib import Path

import atheris

#: What is instrumented: all that reads; not what is behind it, which would only slow it down.
READING = ["sccr.schema", "api.parameters", "sccr.many.lines", "api.diagrams", "api.component_tables"]

with atheris.instrument_imports(include=READING, enable_loader_override=False):
    from tests.trust import fuzzed


def main(folder: Path, names: list[str], flags: list[str]) -> int:
    """Fuzz the targets, as many at once as there are cores; how many ended otherwise than by their number or time."""
    wrong, running = 0, 0
    for name in names:
        if running == (os.cpu_count() or 1):
            wrong += os.wait()[1] != 0
            running -= 1
        own = folder / name
        own.mkdir(parents=True)
        if os.fork() == 0:
            told = os.open(own / "log", os.O_WRONLY | os.O_CREAT, 0o644)
            os.dup2(told, 1)
            os.dup2(told, 2)
            fuzz(name, own, flags)
        running += 1
    return wrong + sum(os.wait()[1] != 0 for _ in range(running))


def fuzz(name: str, folder: Path, flags: list[str]) -> None:
    """Fuzz a target; libFuzzer ends the process."""
    target = fuzzed.TARGETS[name]
    corpus = folder / "corpus"
    corpus.mkdir()
    for number, seed in enumerate(target.seeds()):
        (corpus / f"seed-{number}").write_bytes(seed)
    words = folder / "words"
    words.write_text("".join(f'"{word}"\n' for word in fuzzed.words() if "\\" not in word), "ascii")
    own = [f"-max_len={target.longest}", f"-dict={words}", f"-artifact_prefix={folder}/", "-print_final_stats=1"]
    kept = fuzzed.CORPUS / name
    folders = [str(corpus), *([str(kept)] if kept.is_dir() else [])]
    atheris.Setup([sys.argv[0], *own, *flags, *folders], target.read)
    atheris.Fuzz()


if __name__ == "__main__":
    sys.exit(min(1, main(Path(sys.argv[1]), sys.argv[2].split(","), sys.argv[3:])))
