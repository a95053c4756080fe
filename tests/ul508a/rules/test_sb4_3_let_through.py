"""SB4.3: profiles of let-through against level (method F2, F4, F9; settled 11)."""

from sccr.ul508a.rules.sb4_3_let_through import CreditStep
from sccr.ul508a.rules.sb4_3_let_through import Profile
from sccr.ul508a.rules.sb4_3_let_through import best_of
from sccr.ul508a.rules.sb4_3_let_through import credit
from sccr.ul508a.rules.sb4_3_let_through import next_step
from sccr.ul508a.rules.sb4_3_let_through import worst_of


def profile(*steps: tuple[int, int], by: str = "FU1") -> Profile:
    return tuple(CreditStep(peak, level, level, (by,), "SB4.3.3", 600_000) for peak, level in steps)


def level(found: Profile, weakest: int) -> int:
    step = credit(found, weakest)
    return step.level if step else 0


def test_equality_passes() -> None:
    steps = profile((8, 50), (10, 100), (16, 200))

    assert [level(steps, weakest) for weakest in (7, 8, 9, 10, 15, 16, 99)] == [0, 50, 50, 100, 100, 200, 200]


def test_the_step_missed_is_the_next_one() -> None:
    steps = profile((8, 50), (10, 100))

    assert [s.level if (s := next_step(steps, weakest)) else None for weakest in (7, 8, 10)] == [50, 100, None]


def test_in_line_the_best_counts_at_every_let_through_and_nothing_adds_up() -> None:
    one, other = profile((8, 50), (16, 200)), profile((5, 20), (9, 100), by="QA1")
    both = best_of(one, other)

    assert [level(both, weakest) for weakest in range(4, 18)] == [
        max(level(one, weakest), level(other, weakest)) for weakest in range(4, 18)
    ]


def test_on_several_paths_the_worst_counts_and_rests_on_all() -> None:
    one, other = profile((8, 50), (16, 200)), profile((5, 20), (9, 100), by="QA1")
    both = worst_of(one, other)

    assert [level(both, weakest) for weakest in range(4, 18)] == [
        min(level(one, weakest), level(other, weakest)) for weakest in range(4, 18)
    ]
    assert all(set(step.given_by) == {"FU1", "QA1"} for step in both)


def test_a_path_without_credit_leaves_none() -> None:
    assert worst_of(profile((8, 50)), ()) == ()
    assert best_of(profile((8, 50)), ()) == profile((8, 50))


def test_a_step_cut_by_the_device_alone_names_the_device_and_misses_nothing() -> None:
    cut = CreditStep(16, 100, 200, ("FU1",), "SB4.3.3", 600_000)
    steps = best_of(profile((10, 100)), (cut,))

    assert credit(steps, 16) == cut
    assert next_step(steps, 10) is None


def test_a_higher_let_through_that_gives_no_more_is_no_step() -> None:
    assert best_of(profile((8, 50)), profile((9, 50), by="QA1")) == profile((8, 50))
