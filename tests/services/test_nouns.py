import importlib
import inspect
import pkgutil

import pytest

import app.services
from app.services.bench_nouns import FindingNoun, InstrumentNoun, SlipTestNoun
from app.services.nouns import EngineNoun, FacingNoun, Noun, OfferNoun, PackNoun


@pytest.mark.parametrize("noun", [
    PackNoun, EngineNoun, FacingNoun, OfferNoun, InstrumentNoun, SlipTestNoun, FindingNoun,
])
def test_each_noun_names_its_table_after_itself(noun: type[Noun[object]]) -> None:  # type: ignore[type-var]  # any
    assert noun.table.__tablename__ == noun.kind.replace(" ", "_")
    assert noun.model.__name__.lower() == noun.kind.replace(" ", "")


def test_a_new_noun_must_say_how_it_is_read_and_kept() -> None:
    assert Noun.__abstractmethods__ == {"documents", "keep"}
    with pytest.raises(TypeError):
        Noun()  # type: ignore[abstract]  # the very thing that is refused


def test_every_noun_here_is_in_the_catalogue() -> None:
    from app.services import catalogue

    files = (m.name for m in pkgutil.iter_modules(app.services.__path__))
    modules = [importlib.import_module(f"app.services.{n}") for n in files if n.endswith("nouns")]
    assert len(modules) > 1
    ours = {
        c
        for module in modules
        for _, c in inspect.getmembers(module, inspect.isclass)
        if issubclass(c, Noun)
    }
    kept = {type(c.noun) for c in vars(catalogue).values() if isinstance(c, catalogue.Catalogue)}
    assert kept == ours - {Noun}
