"""Whatever stands in the YAML, a model takes it or says what is wrong in plain words."""

from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.document import Document
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.guide import Guide, Place, Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.optics import BackFocus, Optic
from rigleaf.catalogue.models.rig import Rig, Use
from rigleaf.catalogue.validation import choices_at, known_keys, model_at, unknown_key, validate
from tests.strategies import plain_data

MODELS: list[type[Entry]] = [Guide, Place, Target, Rig, *(kind.model for kind in KINDS.values())]


@given(st.data())
def test_any_plain_data_is_taken_or_refused_in_plain_words(data: st.DataObject) -> None:
    model = data.draw(st.sampled_from(MODELS))
    keys = st.one_of(st.sampled_from(known_keys(model)), st.sampled_from(["stated", "measured", "on", "part", "count"]))
    values = st.one_of(plain_data(keys, leaves=6), st.sampled_from(["5 mm", "5", "4 kg +- 1 %", "M48 x 0.75 male"]))
    entry = {**data.draw(st.dictionaries(keys, values, max_size=8)), "id": "new", "name": "New"}
    document = Document("a.yml")
    found = validate(model, entry, document, (), "thing")
    assert (found is None) == bool(document.faults)
    for fault in document.faults:
        assert fault.message.isprintable()
        assert "Input should" not in fault.message


def test_known_keys_come_in_the_order_of_the_model() -> None:
    assert known_keys(Use) == ["part", "count", "note"]


def test_models_inside_models() -> None:
    assert model_at(Optic, ()) is Optic
    assert model_at(Optic, ("back_focus",)) is BackFocus
    assert model_at(Optic, ("mass",)) is None
    assert model_at(Optic, ("nothing", "here")) is None
    assert model_at(Rig, ("train", 3)) is model_at(Rig, ("power", 0))


def test_choices() -> None:
    assert choices_at(Guide, ("units",)) == ["metric", "imperial"]
    assert choices_at(Rig, ("travels", 2))[0] == "hand luggage"


def test_unknown_keys_in_words() -> None:
    assert unknown_key("aperure", "optic", Optic) == "unknown key 'aperure' in an optic; did you mean 'aperture'?"
    assert unknown_key("zz", "part of a rig", Use) == "unknown key 'zz' in a part of a rig; known are part, count, note"
