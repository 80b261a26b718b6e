"""A page holds a changed answer back while the kernel works: it comes after the click, and it is what is judged."""

import asyncio

import pytest

from airside.teach import exercise
from airside.teach.progress import read_progress

KIND = "humidity_ratio_at_altitude"


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    """What is tried is kept beside the notebook: here."""
    monkeypatch.chdir(tmp_path)


def outcomes():
    return [r.outcome for r in read_progress()[0]]


async def until_checked(shown):
    while shown.judgement is None:
        await asyncio.sleep(0)


def test_an_answer_that_comes_after_the_click_is_judged():
    async def run():
        shown = exercise(KIND, 11)
        _, value = shown.question.slips[0]
        shown.answer.value = shown.question.shown(value)
        shown.check_button.click()
        shown.answer.value = shown.question.shown(shown.question.answer)
        await until_checked(shown)
        return shown.judgement.outcome

    assert asyncio.run(run()) == "right"
    # The answer that was given up is no try.
    assert outcomes() == ["right"]


def test_an_answer_that_was_there_is_judged_once():
    async def run():
        shown = exercise(KIND, 11)
        slip, value = shown.question.slips[0]
        shown.answer.value = shown.question.shown(value)
        shown.check_button.click()
        await until_checked(shown)
        return shown.judgement.slip == slip.name

    assert asyncio.run(run())
    assert outcomes() == ["slip"]


def test_new_numbers_are_not_judged_by_an_earlier_click():
    async def run():
        shown = exercise(KIND, 11)
        shown.answer.value = "70"
        shown.check_button.click()
        shown.new_button.click()
        await asyncio.sleep(0.4)
        return shown.judgement

    assert asyncio.run(run()) is None
    assert outcomes() == []
