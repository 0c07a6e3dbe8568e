"""Decisions over HTTP."""

from __future__ import annotations

from app.services import decisions

ASKED = {"question": "Cut on Thursday?"}
ANSWER = {
    **ASKED,
    "answer": "Yes",
    "why": "three dry days",
    "was_question": "Cut on Thursday?",
    "was_answer": "",
    "was_why": "",
}


def root(site) -> str:
    return f"/farms/{site.farm_id}/decisions"


def asked(site) -> str:
    site.as_("owner").post(root(site), ASKED)
    return f"{root(site)}/{site.do(lambda work: decisions.list_decisions(work, site.farm_id).open[0].id)}"


def test_a_question_is_put_answered_and_decided_again(site):
    owner = site.as_("owner")
    one = asked(site)
    assert "Cut on Thursday?" in owner.get(f"{root(site)}/_open").text
    assert owner.post(one, ANSWER).status_code == 303
    settled = owner.get(f"{root(site)}/_settled").text
    assert "Yes" in settled
    assert "because: three dry days" in settled
    assert "Cut on Thursday?" not in owner.get(f"{root(site)}/_open").text
    assert owner.post(f"{one}/reopen").status_code == 303
    assert "Cut on Thursday?" in owner.get(f"{root(site)}/_open").text
    assert owner.post(f"{one}/remove").status_code == 303
    assert "Nothing waits for a decision" in owner.get(f"{root(site)}/_open").text
    assert owner.post(f"{one}/restore").status_code == 303


def test_a_second_answer_overwrites_nothing(site):
    one = asked(site)
    site.as_("owner").post(one, ANSWER)
    clash = site.as_("agronomist").post(one, ANSWER | {"answer": "No, rain"})
    assert clash.status_code == 409
    assert "No, rain" in clash.text
    assert "Stands there now:" in clash.text


def test_an_empty_question_or_answer_is_refused_and_the_why_is_kept(site):
    assert site.as_("owner").post(root(site), {"question": ""}).status_code == 422
    refused = site.as_("owner").post(asked(site), ANSWER | {"answer": ""})
    assert refused.status_code == 422
    assert "three dry days" in refused.text


def test_crew_reads_and_strangers_do_not(site):
    one = asked(site)
    crew, stranger = site.as_("crew"), site.as_("stranger")
    assert "Cut on Thursday?" in crew.get(root(site)).text
    for path in (root(site), one, f"{one}/reopen", f"{one}/remove", f"{one}/restore"):
        assert crew.post(path, ANSWER).status_code == 403
        assert stranger.post(path, ANSWER).status_code == 404
