from collections.abc import Callable
from typing import TypedDict

from typing_extensions import Buffer

def paths() -> list[str]: ...
def multiply(a: Buffer, b: Buffer, out: Buffer, path: str = "") -> None: ...
def shuffle_only(a: Buffer, b: Buffer, out: Buffer) -> None: ...
def count(states: Buffer, edge_buffer: int, corner_buffer: int, out: Buffer) -> None: ...
def explain_memo(
    seen: list[int],
    piece: list[int],
    beside: list[int],
    buffer: int,
    memo: list[int],
    weights: list[int],
    most_cost: int,
    most_moments: int,
) -> tuple[list[tuple[int, int, int, list[int], bool, bool]], int, int, bool]: ...
def nearest_memo(
    seen: list[int], piece: list[int], buffer: int, memo: list[int], keep: int, most_changes: int, most_moments: int
) -> list[int] | None: ...

_Told = tuple[float, list[tuple[int, int, int]]]

class InquestDesk:
    def __init__(
        self,
        turns: Buffer,
        meant: bytes,
        edits: list[tuple[int, int, bytes, float]],
        splits: list[tuple[int, int, bytes, int, int, bytes, float]],
        alternatives: list[list[tuple[int, float]]],
        strays: list[tuple[int, float]],
        rotations: Buffer,
    ) -> None: ...
    @property
    def singles(self) -> int: ...
    def search(
        self,
        target: Buffer,
        most_slips: int = 3,
        most: int = 400,
        triple_singles: int = 20000,
        threads: int = 1,
        nearest: bool = True,
        progress: _SolverProgress | None = None,
    ) -> tuple[list[_Told], tuple[int, int, int], _Told, int] | None: ...

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

def checksum(data: Buffer) -> int: ...
def is_reachable(state: Buffer) -> bool: ...
def build_two_phase(turns: Buffer, symmetries: Buffer, threads: int) -> bytes: ...
def build_pocket(turns: Buffer) -> bytes: ...

_SolverProgress = Callable[[int, int], object]

class TwoPhase:
    def __init__(self, turns: Buffer, symmetries: Buffer, axes: Buffer, tables: Buffer) -> None: ...
    @property
    def phase_one_counts(self) -> list[int]: ...
    def phase_one_distance(self, state: Buffer) -> int: ...
    def solve(
        self,
        states: Buffer,
        out: Buffer,
        longest: int,
        effort: int,
        threads: int,
        progress: _SolverProgress | None = None,
    ) -> tuple[bool, int]: ...
    def optimal(
        self, state: Buffer, out: Buffer, longest: int, threads: int, progress: _SolverProgress | None = None
    ) -> tuple[bool, int]: ...

class Pocket:
    def __init__(self, turns: Buffer, tables: Buffer) -> None: ...
    @property
    def held(self) -> int: ...
    @property
    def counts(self) -> list[int]: ...
    def solve(self, states: Buffer, out: Buffer) -> None: ...
