"""What the choices cost is told of the result that is reported."""

from __future__ import annotations

from pathlib import Path

from halfdrop.usecases.result import Asked, result


def test_another_choice_that_tells_another_mixture_is_compared_by_the_same_result(tmp_path: Path) -> None:
    head = (
        'method = "alkali-mixture"\nsample = "soda"\n'
        'titrant = { value = "0.1", unit = "mol/L", u = "0.0001" }\n'
        'mass = { value = "0.1500", unit = "g" }\n[balance]\nlinearity_mg = "0.15"\n'
        '[burette]\nid = "B1"\ncapacity_mL = 50\ndivision_mL = "0.1"\nlimit_mL = "0.05"\n'
    )
    readings = [("13.90", "27.90"), ("13.92", "27.92"), ("13.91", "28.60"), ("13.90", "28.62")]
    trials = "".join(f'[[trial]]\ninitial = "0.00"\nfirst = "{a}"\nsecond = "{b}"\n' for a, b in readings)
    page = tmp_path / "soda.toml"
    page.write_text(head + '[choose]\nrule = "first-two"\n' + trials, encoding="utf-8")

    answer = result(page, Asked(choices=True))

    told = [one for one in answer.alternatives if "the mixture is then taken as" in one.choice]
    assert answer.worked.case == "carbonate"
    assert told
    assert all(abs(one.value / answer.worked.value - 1) < 0.1 for one in told)
