"""Whether an answer that takes many plans is still waited for: who asked may have gone on to something else."""


def always() -> bool:
    """It is wanted until it is there."""
    return True
