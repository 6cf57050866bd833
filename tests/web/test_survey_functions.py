"""The survey's pure functions, run where they are at home: imported by a page in the browser."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Any

import msgspec
import pytest
import pytest_asyncio
from playwright.async_api import Browser

from web.surveyed import SURVEYED
from web.test_functions import Modules

pytestmark = pytest.mark.asyncio(loop_scope="session")

ZONES: list[dict[str, Any]] = msgspec.json.decode(msgspec.json.encode(SURVEYED))["zone"]
LOFT, HALL, _ = ZONES


@pytest_asyncio.fixture(name="js", scope="module", loop_scope="session")
async def _js(browser: Browser, forms_url: str) -> AsyncIterator[Modules]:
    context = await browser.new_context()
    page = await context.new_page()
    await page.goto(forms_url)
    yield Modules(page)
    await context.close()


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.4", 1.4),
        (" 1,4 ", 1.4),
        ("\u22123", -3),
        ("6.2 × 4.1", 25.42),
        ("6,2x4,1", 25.42),
        ("2 * 3 * 4", 24),
        ("abc", "abc"),
        ("1.4 W", "1.4 W"),
        ("5 x", "5 x"),
    ],
)
async def test_what_is_typed_is_read(js: Modules, text: str, value: object) -> None:
    """A comma is a point, sides multiply, and what is no number stays as it was typed for ingle to say so."""
    assert await js.run("survey", "m.readNumber(a[0])", text) == value


async def test_an_empty_box_is_no_number(js: Modules) -> None:
    """Nothing typed is nothing given, not nought."""
    assert await js.run("survey", "m.readNumber('  ') === undefined")


@pytest.mark.parametrize(
    ("name", "taken", "made"),
    [
        ("Sail Room", [], "sail-room"),
        ("Sail Room", ["sail-room", "sail-room-2"], "sail-room-3"),
        ("Küche / Süd", [], "kuche-sud"),
        ("", [], "room"),
        ("Outdoor", [], "outdoor-2"),
        ("New", [], "new-2"),
        ("A room with a name that goes on and on and on", [], "a-room-with-a-name-that-goes"),
    ],
)
async def test_a_room_gets_an_id_of_its_own(js: Modules, name: str, taken: list[str], made: str) -> None:
    """An id follows the name within the limits of ids, is free, and is none of the reserved words."""
    assert await js.run("survey", "m.idOf(a[0], a[1])", name, taken) == made


async def test_the_steps_go_round_the_room(js: Modules) -> None:
    """Room, floor, each wall in the file's order, ceiling, air; openings are filled in with the wall they are in."""
    steps = await js.run("survey", "m.steps(a[0]).map(({key, element}) => [key, element])", HALL)
    assert steps == [["room", None], ["floor", None], ["wall", 0], ["wall", 3], ["ceiling", None], ["air", None]]
    assert await js.run("survey", "[0, 1, 2, 3, 4].map((place) => m.stepOf(a[0], place))", HALL) == [2, 2, 2, 3, 1]


async def test_an_opening_that_no_wall_lists_is_in_the_wall_before_it(js: Modules) -> None:
    """The loft's window is drawn in the knee walls, its rooflight in the slopes, the hall's wall in the loft too."""
    lanes = await js.run(
        "unfold",
        """m.unfold(a[0], 'net-loft').map(({name, surfaces}) =>
          [name, surfaces.map((each) => [each.name, each.openings.map((hole) => hole.name)])])""",
        ZONES,
    )
    assert lanes == [
        ["ceiling", [["slopes", ["rooflight"]]]],
        ["walls", [["gable", []], ["knee walls", ["window"]], ["wall to the loft", []]]],
        ["floor", [["floor", []]]],
    ]


async def test_drawn_areas_are_those_of_the_file(js: Modules) -> None:
    """A surface is drawn as large as it is: net area and openings together, or its sides; openings stay within."""
    boxes = await js.run(
        "unfold",
        """Object.fromEntries(m.unfold(a[0], 'net-loft').concat(m.unfold(a[0], 'hall'))
          .flatMap(({surfaces}) => surfaces)
          .flatMap((each) => [[each.name, each.width * each.height], ...each.openings.map((hole) => [hole.name,
            hole.x >= 0 && hole.y >= 0 && hole.x + hole.width <= each.width + 1e-9
            && hole.y + hole.height <= each.height + 1e-9 && hole.width * hole.height])]))""",
        ZONES,
    )
    sizes = {
        "gable": 12.0,
        "knee walls": 14.8 + 3.2,
        "window": 3.2,
        "slopes": 34.0 + 1.1,
        "rooflight": 1.1,
        "street wall": 15.0,
        "front door": 2.1,
        "stair window": 1.2,
        "flags": 18.0,
    }
    assert {name: boxes[name] for name in sizes} == pytest.approx(sizes)


async def test_changes_to_different_values_are_laid_together(js: Modules) -> None:
    """What only one of two people changed holds, also in different walls of one list; theirs is named."""
    mine, theirs = (msgspec.json.decode(msgspec.json.encode(HALL)) for _ in range(2))
    mine["element"][0]["u_w_per_m2k"] = 0.9
    theirs["element"][3]["u_w_per_m2k"] = 1.2
    theirs["design_c"] = 19.0
    merged = await js.run("merge", "m.merge(a[0], a[1], a[2])", HALL, mine, theirs)
    assert merged["clashes"] == []
    assert [(each["path"], each["theirs"]) for each in merged["laid"]] == [
        (["design_c"], 19.0),
        (["element", "wall to the loft", "u_w_per_m2k"], 1.2),
    ]
    both = {**theirs, "element": [mine["element"][0], *theirs["element"][1:]]}
    assert merged["merged"] == both


async def test_of_two_changes_to_one_value_theirs_stands(js: Modules) -> None:
    """Where both changed a value, theirs is kept and mine is told; the same change twice is none."""
    base, mine, theirs, agreed = ({"n": n, "m": 1} for n in (1, 2, 3, 2))
    clash = await js.run("merge", "m.merge(a[0], a[1], a[2])", base, mine, theirs)
    assert clash == {"merged": theirs, "laid": [], "clashes": [{"path": ["n"], "mine": 2, "theirs": 3}]}
    assert await js.run("merge", "m.merge(a[0], a[1], a[2]).clashes", base, mine, agreed) == []


async def test_a_wall_that_one_added_and_one_removed(js: Modules) -> None:
    """A wall added by one and another removed by the other: both happen."""
    base, mine, theirs = (msgspec.json.decode(msgspec.json.encode(LOFT)) for _ in range(3))
    mine["element"].append({"name": "stud wall", "kind": "wall", "area_m2": 4.0, "u_w_per_m2k": 1.0})
    theirs["element"] = [each for each in theirs["element"] if each["name"] != "rooflight"]
    merged = await js.run("merge", "m.merge(a[0], a[1], a[2]).merged", base, mine, theirs)
    names = [each["name"] for each in merged["element"]]
    assert "stud wall" in names
    assert "rooflight" not in names
    assert len(names) == len(LOFT["element"])


async def test_what_cannot_be_counted_is_left_out_with_its_listing(js: Modules) -> None:
    """A faulty window goes with its place in its wall's list; a fault of the room itself leaves nothing to count."""
    rest = await js.run("survey", "m.countable(a[0], [['element', 2, 'u_w_per_m2k']])", HALL)
    assert rest["without"] == ["stair window"]
    assert rest["zone"]["element"][0]["openings"] == ["front door"]
    assert await js.run("survey", "m.countable(a[0], [['floor_area_m2']])", HALL) is None


async def test_shares_add_up_and_are_ranked(js: Modules) -> None:
    """Shares of what goes out add up to one; the largest is first, what comes in is last and below nought."""
    parts = [{"w": w, "kind": "wall", "name": f"{w}"} for w in (10.0, 60.0, -5.0, 30.0, 0.0)]
    found = await js.run("losses", "m.shares({parts: a[0]})", parts)
    assert [each["part"]["w"] for each in found] == [60.0, 30.0, 10.0, 0.0, -5.0]
    assert [each["ink"] for each in found] == [5, 4, 3, 0, -1]
    assert sum(each["share"] for each in found if each["share"] > 0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("u_w_per_m2k", 1.4, "U\u00a01.4\u202fW/(m²·K)"),
        ("area_m2", 12.0, "area\u00a012\u202fm²"),
        ("volume_m3", 58.5, "volume\u00a058.5\u202fm³"),
        ("outdoor_c", -2.0, "outdoor\u00a0\u22122\u202f°C"),
        ("percent", 10.0, "10\u202f%"),
        ("method", "domestic", "method\u00a0domestic"),
        ("net-loft, gable: u_w_per_m2k 0.8...2", "-182/+182 W", "net-loft, gable: U 0.8...2\u00a0-182/+182 W"),
    ],
)
async def test_an_input_is_said_with_its_unit(js: Modules, key: str, value: object, said: str) -> None:
    """A key of the house file becomes a name and a unit, so that a line of working can be read by anybody."""
    body = """(async () => {
      const {formats} = await import('/js/format.js');
      return m.inputInWords(a[0], a[1], formats({locale: 'en-GB', timeZone: 'UTC'}));
    })()"""
    assert await js.run("losses", body, key, value) == said


async def test_every_choice_of_the_form_is_one_of_the_file(js: Modules) -> None:
    """The form offers what the house file takes: each use, mass, kind of knowledge, floor and construction."""
    from typing import get_args

    from ingle.model import envelope, house

    words = await js.run("words", "({choices: {...m.survey.choices, room: 0, space: 0}, made: m.survey.constructions})")
    assert set(words["choices"]["use"]) == set(get_args(house.Use))
    assert set(words["choices"]["origin"]) - {""} == {"measured", "observed", "assumed"}
    assert set(words["choices"]["opening"]) <= set(get_args(envelope.ElementKind))
    offered = {name for group in words["made"].values() for name in group}
    assert offered == set(get_args(envelope.Construction))


async def test_rooms_and_spaces_are_named_in_the_working(js: Modules) -> None:
    """Where a line leads to is said by its name, not by its id in the file."""
    body = """(async () => {
      const {formats} = await import('/js/format.js');
      const nameOf = (id) => ({'roof-void': 'Roof void', 'room-1': 'Room 1'})[id] ?? id;
      const fmt = formats({locale: 'en-GB', timeZone: 'UTC'});
      return [m.inputInWords('space', 'roof-void', fmt, nameOf),
        m.itemInWords('floor (to room-1, listed there)', nameOf),
        m.inputInWords('gradient_k_per_m', 0.5, fmt, nameOf)];
    })()"""
    said = ["space\u00a0Roof void", "floor (to Room 1, listed there)", "gradient\u00a00.5\u202fK/m"]
    assert await js.run("losses", body) == said


async def test_kinds_of_unheated_space_have_their_factors(js: Modules) -> None:
    """The form offers each kind of unheated space that ingle knows, with the very factor that the design uses."""
    from ingle.physics.unheated_kinds import KINDS, unheated_factor

    offered = await js.run("words", "m.survey.unheated")
    assert {kind: each["factor"] for kind, each in offered.items()} == {
        kind: unheated_factor(kind).value for kind in KINDS
    }
