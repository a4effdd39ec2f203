"""Rails, fixings and checks wall by wall: by hand on walls of known shape, and equal to the result."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from demo import demo_result
from effort import examples
from hand import BARE, entry_of, prices_of
from hypothesis import given
from hypothesis import strategies as st

import mytakeoff as mt
from mytakeoff import Fitting, JobWall, RailChoice, Survey, TakeoffError, Wall, evaluate, set_out
from mytakeoff.chain import takeoff_of
from mytakeoff.job.catalogue import LIGHT_GYPSUM
from mytakeoff.job.mixes import System
from mytakeoff.job.treatments import PATCH, Treatment
from mytakeoff.rails.rails import RailPiece, rail_names
from mytakeoff.settingout.cable_zones import cable_reasons, zones_of

WALL = Wall("A", 2.7, 2.6)
RAILS = RailChoice(depth_mm=6.0, head_clearance_mm=3.0)


def job_with(proud_mm, *, wall=WALL, rails=RAILS, kind="square", system=BARE, **details):
    """One wall whose proudness at (x, z) a function gives, read every quarter of a metre."""
    x, z = np.meshgrid(np.linspace(0, wall.width_m, 12), np.linspace(0, wall.height_m, 11))
    survey = Survey.from_readings(wall, x.ravel(), z.ravel(), proud_mm(x, z).ravel(), swept=True)
    background = details.pop("background", "brick")
    entry = JobWall(wall, "room", survey, background, turn_mm_per_m=0.0, **details)
    return mt.Job(
        "by hand", (mt.Room("room", 12.0),), (entry,), system, prices_of(system),
        plane=mt.PlaneChoice(kind), rails=rails,
    )  # fmt: skip


def leaning_back(x, z):
    return 0.0 * x - 5.0 * z  # back by 5 mm a metre


def test_heads_on_a_leaning_wall_by_hand():
    # plumb face 9 mm off the lowest row of cells (12.5 mm up): a rail's 6 mm and 3 mm for the heads, which is
    # more than the backing's least of 8 mm; a head at z stands 3 + 5·(z - 0.0125) mm off the wall
    setting = set_out(evaluate(job_with(leaning_back))).walls[0]
    low = 2.6 / 104 / 2
    for fixing in setting.fixings:
        assert fixing.projection_mm == pytest.approx(3 + 5 * (fixing.z_m - low), abs=1e-6)
        assert fixing.plaster_mm == pytest.approx(fixing.projection_mm + 6, abs=1e-9)
        assert fixing.need_mm == pytest.approx(fixing.projection_mm + 30, abs=1e-9)
    assert [(rail, round(setting.rails[0].length_m, 3)) for rail in setting.names] == [
        ("1", 2.58), ("2", 2.58), ("3", 2.58),
    ]  # fmt: skip
    # 2.48 m between the first and the last in steps of at most 0.3 m: nine steps
    heights = [fixing.z_m for fixing in setting.fixings if fixing.rail == "1"]
    assert heights == pytest.approx(np.linspace(0.06, 2.54, 10))
    # 33.2 mm at the foot of the rail, 45.6 mm at its head, from 40, 50 … at hand
    assert [fixing.screw_mm for fixing in setting.fixings if fixing.rail == "1"] == [40.0] * 5 + [50.0] * 5
    assert setting.screws == {40.0: 15, 50.0: 15}


def test_the_shortest_screw_that_reaches_is_taken_however_they_are_listed():
    job = job_with(leaning_back, rails=replace(RAILS, screws_mm=(80.0, 45.0, 60.0, 35.0)))
    needs = {(fixing.need_mm, fixing.screw_mm) for fixing in set_out(evaluate(job)).walls[0].fixings}
    assert all(screw == (35.0 if need <= 35 else 45.0 if need <= 45 else 60.0) for need, screw in needs)
    assert {screw for _, screw in needs} == {35.0, 45.0, 60.0}


def test_the_laser_reads_the_same_at_every_head():
    # 100 mm off the wall at the first fixing, whose head stands 3.24 mm off it
    setting = set_out(evaluate(job_with(leaning_back))).walls[0]
    start = setting.start
    assert start is not None
    assert start.z_m == pytest.approx(0.06)
    assert start.first
    read = setting.laser_to_head_mm
    assert read == pytest.approx(100 - start.projection_mm)
    # so to the wall it reads 100 mm there and as much more as the wall lies further back
    for fixing in setting.fixings:
        assert setting.laser_to_wall_mm(fixing) == pytest.approx(100 + 5 * (fixing.z_m - start.z_m), abs=1e-6)
    assert f"every head reads {read:.0f} mm" in setting.checks[0]


def test_the_rail_stands_under_the_finish():
    job = job_with(leaning_back, system=System(LIGHT_GYPSUM, LIGHT_GYPSUM, 2.0))
    fixings = set_out(evaluate(job)).walls[0].fixings
    assert {round(fixing.plaster_mm - fixing.projection_mm, 6) for fixing in fixings} == {6 + 2}


def test_old_plaster_that_stays_lengthens_the_screw_and_none_is_left_where_it_fell():
    hole = mt.LooseArea(0.0, 0.0, 2.7, 1.0, 15.0, fallen=True)
    job = job_with(lambda x, z: 0.0 * x - 15.0 * (z <= 1.0), background="sound old plaster",
                   old_plaster_mm=20.0, loose=(hole,))  # fmt: skip
    fixings = set_out(evaluate(job)).walls[0].fixings
    over = {round(fixing.need_mm - fixing.projection_mm, 6) for fixing in fixings if fixing.z_m > 1.3}
    in_it = {round(fixing.need_mm - fixing.projection_mm, 6) for fixing in fixings if fixing.z_m < 0.9}
    assert (over, in_it) == ({20 + 30}, {5 + 30})


def test_a_wall_too_proud_says_how_much_comes_off_first():
    # a nib 0.4 m wide under the middle rail, taken down by up to 5 mm on brick
    def nib(x, z):
        return 12.0 * (np.abs(x - 1.35) < 0.2)

    job = job_with(nib, kind="plumb", rails=replace(RAILS, used=True))
    job = replace(job, plane=mt.PlaneChoice("plumb", cut_mm=4.0))
    setting = set_out(evaluate(job)).walls[0]
    proud = [fixing for fixing in setting.fixings if fixing.too_proud]
    assert {fixing.rail for fixing in proud} == {"2"}
    for fixing in proud:
        # once it is off, the head has its room: rail depth and clearance fit
        assert fixing.projection_mm < 3.0
        assert fixing.projection_mm + fixing.take_down_mm >= 3.0 - 1e-6
    assert any("too proud at" in notice for notice in setting.notices)


@examples(12)
@given(
    seed=st.integers(0, 10_000),
    depth=st.sampled_from([6.0, 10.0]),
    head=st.sampled_from([0.0, 3.0]),
    kind=st.sampled_from(["plumb", "square", "free"]),
)
def test_every_head_has_the_room_that_the_rail_needs(seed, depth, head, kind):
    rng = np.random.default_rng(seed)
    bumps = rng.normal(0, 5, (11, 12))
    job = job_with(lambda x, z: bumps, kind=kind, rails=RailChoice(depth_mm=depth, head_clearance_mm=head))
    result = evaluate(job)
    for fixing in set_out(result).walls[0].fixings:
        assert fixing.projection_mm >= head - 1e-6
        assert fixing.screw_mm >= fixing.projection_mm + 30 - 1e-6
    assert set_out(result).fixing_count == next(
        line.quantity for line in result.cost.lines if line.item == "rail fixing"
    )


def test_on_dabs_nothing_is_drilled():
    setting = set_out(evaluate(job_with(leaning_back, rails=replace(RAILS, bedded="dabs")))).walls[0]
    assert {fixing.screw_mm for fixing in setting.fixings} == {None}
    assert setting.zones == ()
    assert any("on dabs" in notice for notice in setting.notices)


def test_pieces_of_a_rail_that_is_cut_are_lettered_from_the_floor():
    rails = (
        RailPiece(0.15, 0, 2.6),
        RailPiece(1.4, 0, 0.9),
        RailPiece(1.4, 2.1, 2.6),
        RailPiece(2.5, 0, 2.6),
    )
    assert rail_names(rails) == ("1", "2a", "2b", "3")


# -- cables ------------------------------------------------------------------------------------------


def entry_with(*fittings):
    return entry_of(Wall("A", 4.0, 2.6), fittings=fittings)


@pytest.mark.parametrize(
    ("x_m", "z_m", "why"),
    [
        # BS 7671:2018, 522.6.202 (secondary): 150 mm of top or angle, straight from an accessory
        (2.0, 2.46, "top of the wall"),
        (0.15, 1.0, "left corner"),
        (3.86, 1.0, "right corner"),
        (1.2, 2.0, "above and below the socket"),
        (1.2, 0.05, "above and below the socket"),
        (3.0, 0.45, "level with the socket"),
        (2.6, 1.8, "above and below the switch on the other face, in a wall of 100 mm or less"),
    ],
)
def test_cables_are_expected_in_the_usual_zones(x_m, z_m, why):
    socket = Fitting("socket", "socket", 1.2, 0.45)
    switch = Fitting("switch", "switch", 2.6, 1.1, other_face=True)
    assert why in cable_reasons(zones_of(entry_with(socket, switch)), x_m, z_m)


def test_there_is_no_zone_along_the_bottom_and_none_from_a_radiator():
    # "no zone along the bottom of the wall": the same rule, as ukha-archive.com has it
    zones = zones_of(entry_with(Fitting("radiator", "radiator", 2.0, 0.5)))
    assert cable_reasons(zones, 2.0, 0.05) == ()
    assert cable_reasons(zones, 2.0, 1.2) == ()


def test_a_rail_through_a_socket_is_said():
    on_it = Fitting("socket", "socket", 1.38, 0.45)
    beside = Fitting("switch", "switch", 0.6, 1.1)
    behind = Fitting("hall socket", "socket", 1.38, 0.45, other_face=True)
    said = set_out(evaluate(job_with(leaning_back, fittings=(on_it, beside, behind)))).walls[0].notices
    assert [notice for notice in said if "runs through" in notice] == [
        "rail 2 runs through the socket: move it, or cut it around that"
    ]


def test_a_fixing_in_a_zone_says_why():
    # one fixing of each rail stands 0.61 m up, within 75 mm of the socket's height; rail 2 runs over it
    job = job_with(leaning_back, fittings=(Fitting("socket", "socket", 1.35, 0.6),))
    fixings = set_out(evaluate(job)).walls[0].fixings
    level = [fixing for fixing in fixings if "level with the socket" in fixing.zones]
    assert {(fixing.rail, round(fixing.z_m, 2)) for fixing in level} == {(rail, 0.61) for rail in "123"}
    upright = [fixing for fixing in fixings if "above and below the socket" in fixing.zones]
    assert upright == [fixing for fixing in fixings if fixing.rail == "2"] != []


# -- the demo job ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def result():
    return demo_result()


def test_every_figure_of_the_demo_job_is_the_result_s(result):
    setting = set_out(result)
    lines = {line.item: line.quantity for line in takeoff_of(result.job, result.walls).quantities}
    assert setting.fixing_count == lines["rail fixing"]
    assert sum(rail.length_m for wall in setting.walls for rail in wall.rails) == pytest.approx(
        float(lines["rail"]), abs=0.006
    )
    assert setting.cuts.cut_m == pytest.approx(float(lines["rail"]), abs=0.02)  # whole millimetres
    [rails] = [line for line in result.cost.lines if line.priced_as == "rail"]
    assert (setting.cuts.count, "length of 3 m") == (rails.quantity, rails.unit)
    assert sum(setting.screws.values()) == setting.fixing_count
    for wall in setting.walls:
        made = result.wall(wall.name)
        for fixing in wall.fixings:
            row = int(np.abs(made.surface.z_m - fixing.z_m).argmin())
            near = np.abs(made.surface.x_m - fixing.x_m) <= 0.013
            around = made.build_up.thickness_mm[max(row - 1, 0) : row + 2, near]
            assert np.nanmin(around) - 1e-6 <= fixing.plaster_mm <= np.nanmax(around) + 1e-6
    frame = setting.to_frame()
    assert len(frame) == setting.fixing_count
    assert frame.start_here.sum() == len({(row.wall, row.rail) for row in frame.itertuples()})


def test_a_patched_wall_has_no_rails_and_says_so(result):
    patched = Treatment("patch and skim", PATCH, skim=True)
    walls = tuple(
        replace(wall, treatment=patched) if wall.name == "door wall" else wall for wall in result.job.walls
    )
    setting = set_out(evaluate(replace(result.job, walls=walls))).wall("door wall")
    assert setting.rails == ()
    assert "patch and skim" in setting.why_none


def test_freehand_has_no_rails_either(result):
    setting = set_out(evaluate(replace(result.job, rails=RailChoice(used=False))))
    assert setting.cuts.count == 0
    assert "freehand" in setting.walls[0].why_none


# -- what stops the sheet ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rails", "told"),
    [
        (replace(RAILS, screws_mm=(25.0, 30.0)), "need up to 46 mm of screw"),
        (replace(RAILS, screws_mm=()), "longest at hand is 0 mm"),
        (replace(RAILS, stock_m=2.5), "2580 mm from stock of 2500 mm"),
        (replace(RAILS, laser_mm=5.0), "clears the heads"),
    ],
)
def test_a_sheet_with_a_wrong_number_is_not_made(rails, told):
    with pytest.raises(TakeoffError, match=told):
        set_out(evaluate(job_with(leaning_back, rails=rails)))


def test_an_edge_no_longer_than_its_overhangs_is_refused():
    with pytest.raises(TakeoffError, match="longer than twice its overhang"):
        evaluate(job_with(leaning_back, rails=replace(RAILS, straightedge_m=0.3)))


def test_rails_of_the_user_s_own_that_leave_ground_are_said_and_stop_the_sheet():
    job = job_with(leaning_back, rails_x_m=(0.15, 2.55))
    result = evaluate(job)
    assert any("no straightedge of 1.5 m on two rails reaches" in notice for notice in result.notices)
    with pytest.raises(TakeoffError, match=r"no straightedge of 1\.5 m"):
        set_out(result)


def test_a_rail_off_the_wall_is_refused():
    with pytest.raises(TakeoffError, match="rails stand on the wall"):
        job_with(leaning_back, rails_x_m=(0.15, 2.8))


def test_several_mistakes_are_told_together():
    with pytest.raises(TakeoffError) as told:
        set_out(evaluate(job_with(leaning_back, rails=replace(RAILS, screws_mm=(30.0,), stock_m=2.0))))
    places = [mistake.place for mistake in told.value.mistakes]
    assert places == [f"wall 'A', rail {n}" for n in (1, 2, 3)] + [f"A, rail {n}" for n in (1, 2, 3)]


def test_no_sheet_says_drilled_and_not_drilled():
    for bedded, before in (("dabs", "first rail is bedded"), ("fixings", "first hole is drilled")):
        job = job_with(leaning_back, rails=replace(RAILS, bedded=bedded))
        survey = replace(job.walls[0].survey, swept=False)
        job = replace(job, walls=(replace(job.walls[0], survey=survey),))
        setting = set_out(evaluate(job)).walls[0]
        said = " ".join((*setting.checks, *setting.notices, setting.reads))
        assert before in said
        # nothing has a head where nothing is drilled: the laser is read on the rail's face, 6 mm nearer to it
        assert ("head" in said) == (bedded == "fixings")
        reads = setting.laser_to_head_mm - (6.0 if bedded == "dabs" else 0.0)
        assert f"reads {reads:.0f} mm" in setting.reads


def test_the_square_check_can_be_done_on_site():
    job = job_with(lambda x, z: -40.0 - 5.0 * x)
    square = set_out(evaluate(job)).walls[0].checks[-1]
    assert square.startswith("Square: off the line that the survey was read from, the rails' faces")
    # where a scanner stood nobody stretches that line: the bare wall is read at both ends instead
    scanned = replace(job.walls[0], survey=replace(job.walls[0].survey, layout="scan"))
    setting = set_out(evaluate(replace(job, walls=(scanned,)))).walls[0]
    square = setting.checks[-1]
    assert "the line" not in square
    first, last = setting.fixings[0], setting.fixings[-10]
    for fixing in (first, last):
        assert f"{setting.laser_to_wall_mm(fixing):.0f} mm at {fixing.label}" in square


def test_one_figure_is_said_once():
    narrow = set_out(evaluate(job_with(lambda x, z: 0.0 * x - 40.0, wall=Wall("A", 0.4, 2.6)))).walls[0]
    assert len(narrow.wall.rails_x_m) == 1
    assert "at the rail, at the floor" in narrow.checks[-1]
    level = set_out(evaluate(job_with(lambda x, z: 0.0 * x - 40.0))).walls[0]
    assert "mm at the first rail and the last, at the floor" in level.checks[-1]


def test_counts_agree_and_name_what_was_not_read():
    wall = Wall("A", 2.7, 2.6)
    x, z = np.meshgrid(np.linspace(0, 2.7, 10), np.linspace(0, 1.2, 5))
    survey = Survey.from_readings(wall, x.ravel(), z.ravel(), 0.0 * x.ravel(), swept=True)
    job = job_with(leaning_back)
    setting = set_out(evaluate(replace(job, walls=(replace(job.walls[0], survey=survey),)))).walls[0]
    labels = [fixing.label for fixing in setting.unread]
    assert labels
    assert any(f"{len(labels)} fixings ({', '.join(labels)}) stand where nobody measured" in notice
               for notice in setting.notices)  # fmt: skip


def test_a_wall_that_was_swept_is_not_asked_to_be_swept(result):
    for setting in set_out(result).walls:
        said = any("was not swept" in notice for notice in setting.notices)
        assert not (said and setting.wall.entry.survey.swept)
    assert any(wall.entry.survey.swept for wall in result.walls)
