"""Random documents of packs and engines: any part known or not, figures to their last digit."""

from typing import Any

from hypothesis import strategies as st

from app.documents import Engine, Pack

TEXTS = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x2FFF, exclude_categories=("Cs", "Cc", "Cn")),
    max_size=20,
)
COUNTS = st.integers(1, 40)


@st.composite
def figures(draw: st.DrawFn, size: float) -> Any:
    """A figure near a size, so that sizes keep their order; with any of its parts."""
    value = size * draw(st.floats(0.999, 1.001))
    if draw(st.booleans()):
        return value
    found: dict[str, Any] = {"value": value}
    doubt = draw(st.sampled_from(["plus_minus", "std", "none"]))
    if doubt != "none":
        found[doubt] = value * draw(st.floats(0, 0.2))
    how = draw(st.sampled_from([None, "measured", "listed", "estimated", "assumed"]))
    if how is not None and doubt != "none":
        found["how"] = how
    for part in ("typed", "typed_doubt", "by", "with_what"):
        if draw(st.booleans()):
            found[part] = draw(TEXTS)
    if draw(st.booleans()):
        found["at"] = "2026-11-25"
    if doubt == "plus_minus" and draw(st.booleans()):
        found["default_doubt"] = True
    return found


def parts(draw: st.DrawFn, **strategies: st.SearchStrategy[Any]) -> dict[str, Any]:
    """Some of these fields."""
    return {name: draw(made) for name, made in strategies.items() if draw(st.booleans())}


POINTS = st.lists(
    st.floats(0, 50), min_size=1, max_size=4, unique=True
).map(lambda at: [{"deflection_mm": x, "force_n": x * 20.1} for x in at])  # fmt: skip
PAIRS = st.lists(
    st.floats(1000, 9000), min_size=1, max_size=4, unique=True
).map(lambda at: [[x, x / 700 - 5] for x in at])  # fmt: skip


@st.composite
def spring_groups(draw: st.DrawFn) -> dict[str, Any]:
    """A group of springs with one figure at least."""
    return {"count": draw(COUNTS)} | parts(
        draw,
        name=TEXTS,
        free_length_mm=figures(31.0),
        installed_length_mm=figures(24.0),
        shim_mm=figures(0.5),
        rate_n_per_mm=figures(20.0),
        load_points=POINTS,
        tester_limit=st.floats(0, 0.5),
        wire_mm=figures(2.0),
        inside_mm=figures(10.0),
        mean_mm=figures(12.0),
        outside_mm=figures(14.0),
        total_coils=figures(8.0),
        ends=st.sampled_from(["plain", "closed_ground"]),
        wire_material=TEXTS,
    )


@st.composite
def clamps(draw: st.DrawFn) -> dict[str, Any]:
    """A clamp of any kind."""
    kind = draw(st.sampled_from(["coil", "disc", "disc_table", "load", "centrifugal"]))
    found: dict[str, Any] = {"kind": kind}
    if kind == "coil":
        found["springs"] = draw(st.lists(spring_groups(), max_size=3))
    elif kind == "disc":
        found |= parts(
            draw,
            inside_mm=figures(40.0),
            outside_mm=figures(80.0),
            in_series=COUNTS,
            poisson=figures(0.3),
        )
    elif kind == "disc_table":
        found |= parts(draw, points=POINTS, installed_deflection_mm=figures(1.5))
    elif kind == "load":
        found |= parts(draw, force_n=figures(900.0), rate_n_per_mm=figures(50.0))
    else:
        found |= parts(draw, weights=COUNTS, ramp_angle_deg=figures(45.0))
    return found


CHECKED = st.just({"by": "Bea", "at": "2026-11-25"})


@st.composite
def pack_documents(draw: st.DrawFn) -> Pack:
    """A pack of which any part is known."""
    pair = st.fixed_dictionaries({"sliding": figures(0.12)}, optional={"static": figures(0.15)})
    raw = {"name": "A pack"} | parts(
        draw,
        friction_plates=COUNTS,
        lined_faces_per_plate=st.sampled_from([1, 2]),
        facing_id_mm=figures(86.0),
        facing_od_mm=figures(110.0),
        grooved_fraction=figures(0.1),
        mounting=st.sampled_from(["crankshaft", "geared"]),
        facing=TEXTS,
        friction=st.fixed_dictionaries({"oiled": pair}, optional={"dry": pair}),
        clamp=clamps(),
        lift_mm=figures(1.2),
        notes=TEXTS,
        checked=CHECKED,
    )
    return Pack.model_validate(raw)


@st.composite
def engine_documents(draw: st.DrawFn) -> Engine:
    """An engine of which any part is known."""
    torque = st.one_of(
        st.fixed_dictionaries({"kind": st.just("measured"), "torque_nm": figures(11.0)}),
        st.fixed_dictionaries({"kind": st.just("power"), "speed_rpm": figures(7500.0)}),
        st.fixed_dictionaries({"kind": st.just("bmep"), "bmep_kpa": figures(900.0)}),
        st.fixed_dictionaries(
            {"kind": st.just("curve"), "points": PAIRS},
            optional={"at": st.just("wheel"), "overall_ratio": figures(9.0)},
        ),
    )
    raw = {"name": "An engine"} | parts(
        draw,
        displacement_cc=figures(124.0),
        cylinders=COUNTS,
        strokes=st.sampled_from([2, 4]),
        torque=torque,
        primary_teeth=st.tuples(COUNTS, COUNTS).map(list),
        primary_efficiency=figures(0.97),
        service_factor=figures(1.5),
        notes=TEXTS,
        checked=CHECKED,
    )
    return Engine.model_validate(raw)
