"""Work over processes: results as they finish, and a process that dies takes nothing but its own piece of work with it."""

import multiprocessing
import time
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor

import pytest
from tests.records.worker_tasks import after_the_mark, dead_once, doubled, doubled_or_dead, refused

from fairtank.errors import JobError
from fairtank.records.fanout import fanout, fanout_twice


def processes(count: int | None) -> Executor:
    return ProcessPoolExecutor(count or 2, mp_context=multiprocessing.get_context("spawn"))


def test_every_piece_of_work_comes_back_once_with_its_result():
    with processes(2) as executor:
        assert sorted(fanout(executor, doubled, range(12))) == [(number, 2 * number) for number in range(12)]


def test_processes_and_threads_give_the_same_results_whatever_the_order():
    with ThreadPoolExecutor(3) as threads:
        by_threads = dict(fanout(threads, doubled, range(9)))
    with processes(2) as executor:
        by_processes = dict(fanout(executor, doubled, reversed(range(9))))
    assert by_threads == by_processes


def test_a_result_is_handed_over_while_others_are_still_under_way(tmp_path):
    """The late piece waits for a mark that is made only after the first result is in hand."""
    mark = tmp_path / "first result is here"
    with processes(2) as executor:
        results = fanout(executor, after_the_mark, [("late", mark), ("soon", mark)])
        assert next(results)[1] == "soon"
        mark.touch()
        assert next(results)[1] == "late"
        assert next(results, None) is None


@pytest.mark.parametrize("death", ["exit", "kill"])
def test_a_piece_that_ends_its_process_loses_only_itself(death):
    work = [("work", 1), (death, 2), *(("work", number) for number in range(3, 8))]
    results = dict(fanout_twice(processes, doubled_or_dead, work))
    lost = results.pop((death, 2))
    assert isinstance(lost, JobError)
    assert str(lost) == "The process that did this work was stopped from outside, or ran out of memory."
    assert results == {("work", number): 2 * number for number in (1, 3, 4, 5, 6, 7)}


def test_two_deadly_pieces_do_not_drag_each_other_down():
    work = [("kill", 0), ("work", 1), ("exit", 2), ("work", 3)]
    results = dict(fanout_twice(processes, doubled_or_dead, work))
    assert {unit for unit, result in results.items() if isinstance(result, JobError)} == {("kill", 0), ("exit", 2)}
    assert (results["work", 1], results["work", 3]) == (2, 6)


def test_a_piece_whose_process_died_by_chance_is_done_at_the_second_try(tmp_path):
    work = [(tmp_path / "died", 4)]
    assert list(fanout_twice(processes, dead_once, work)) == [(work[0], 8)]


def test_only_what_was_under_way_is_tried_alone_and_the_rest_goes_on_in_new_processes():
    """Ten thousand pieces must not be done one process each because the third of them killed one."""
    made = []

    def counted(number: int | None) -> Executor:
        made.append(number)
        return processes(number)

    work = [("work", 0), ("kill", 1), *(("work", number) for number in range(2, 30))]
    results = dict(fanout_twice(counted, doubled_or_dead, work, ahead=3))
    assert isinstance(results.pop(("kill", 1)), JobError)
    assert results == {("work", number): 2 * number for number in range(30) if number != 1}
    assert made.count(None) == 2
    assert made.count(1) <= 2


def test_work_is_taken_only_as_it_is_needed_and_results_are_not_piled_up():
    taken = []

    def units():
        for number in range(200):
            taken.append(number)
            yield number

    with ThreadPoolExecutor(2) as executor:
        for handed_over, _ in enumerate(fanout(executor, doubled, units(), ahead=4), start=1):
            assert len(taken) <= handed_over + 4
    assert handed_over == 200


def test_work_that_is_handed_in_after_a_death_is_lost_like_the_rest_and_not_an_error():
    def slowly():
        yield ("exit", 0)
        time.sleep(1.5)
        yield ("work", 1)

    results = dict(fanout_twice(processes, doubled_or_dead, slowly()))
    assert isinstance(results["exit", 0], JobError)
    assert results["work", 1] == 2


def test_a_mistake_in_the_work_itself_is_not_taken_for_a_dead_process():
    with processes(1) as executor, pytest.raises(ValueError, match="no answer for 5"):
        list(fanout(executor, refused, [5]))


def test_nothing_to_do_gives_nothing():
    assert list(fanout_twice(processes, doubled, [])) == []
