"""Stage 1 and librosa on every song of the bundled collections, for 50 licks and both steps.

Run: python -m tests.benchmarks.stage_one_against_librosa
"""

from melodex.index.blocks import load_blocks
from tests.benchmarks.measuring import bundled_catalogue
from tests.reference.stage_one import disagreements

LICKS, SEED = 50, 20261125


def main() -> None:
    """Print how many costs were compared, and each that differs."""
    blocks = load_blocks(bundled_catalogue())
    compared, wrong = disagreements(blocks, licks=LICKS, seed=SEED)
    print(f"{compared} costs compared, {len(wrong)} differ")
    for line in wrong:
        print(line)


if __name__ == "__main__":
    main()
