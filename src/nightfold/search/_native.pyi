from collections.abc import Callable
from typing import TypedDict

from typing_extensions import Buffer

def paths() -> list[str]: ...
def multiply(a: Buffer, b: Buffer, out: Buffer, path: str = "") -> None: ...
def shuffle_only(a: Buffer, b: Buffer, out: Buffer) -> None: ...
def count(states: Buffer, edge_buffer: int, corner_buffer: int, out: Buffer) -> None: ...

class Finder:
    def __init__(self, turns: Buffer, stems: list[int], axes: list[int], back: list[int]) -> None: ...
    def sequences_of(self, length: int) -> int: ...
    def find(
        self,
        wanted: Buffer,
        matters: list[bool],
        longest: int,
        extra: int = 0,
        memory: int = ...,
        most: int = 100000,
        threads: int = 1,
        progress: Callable[[int, int], bool] | None = None,
    ) -> FinderAnswer: ...

class FinderAnswer(TypedDict):
    sequences: list[bytes]
    proven: int
    table_depth: int
    memory_bound: bool
    cut: bool
    walked: int
    stopped: bool
