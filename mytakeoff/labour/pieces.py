"""The pieces of work on one wall and the hours they take: what the rates of `labour` make of its measures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from mytakeoff.coats.coats import PATCH_ROLES, Coat, Coats, Layer
from mytakeoff.errors import Check
from mytakeoff.formats.formats import Formats
from mytakeoff.job import catalogue
from mytakeoff.job.backgrounds import NO_TREATMENT
from mytakeoff.job.job import Job
from mytakeoff.job.job_wall import JobWall
from mytakeoff.job.mixes import Mix
from mytakeoff.job.rates import LabourRates
from mytakeoff.measure.materials import CRUMB_L, keys_l
from mytakeoff.measure.wall_measures import Measures
from mytakeoff.treatment.loose_areas import deducted_area_m2
from mytakeoff.treatment.wall_result import WallResult

HACK_OFF = "hack off and bag"
TAKE_DOWN = "take down high spots"
PRIME = "prime"
RAILS = "rails"
PATCHES = "patches"
DUB_OUT = "dub out"
MESH = "mesh"
BEADS = "beads"
FLOAT = "float backing"
REVEALS = "reveals"
MAKE_GOOD = "make good rail channels"
FINISH = "finish coat"
FITTINGS = "sockets and radiators"
# in the order of the work
TASKS = (
    HACK_OFF, TAKE_DOWN, PRIME, RAILS, PATCHES, DUB_OUT, MESH, BEADS, FLOAT, REVEALS, MAKE_GOOD, FINISH,
    FITTINGS,
)  # fmt: skip


# what a rate is known for: layers by their role, and what goes on before the plaster
ROLES = ("finish", "backing", "dubbing out", *PATCH_ROLES)
TREATMENTS = (
    NO_TREATMENT, catalogue.PRIMER, catalogue.GRIT_PRIMER, catalogue.BONDING_AGENT, catalogue.SPATTERDASH
)  # fmt: skip


@dataclass(frozen=True)
class WorkPiece:
    """Part of a task on one wall, before the wall's factor: quantity [unit], hours [h], the rate in words.

    `mix` is what is laid, if anything: what is mixed on site keeps a labourer longer.
    """

    task: str
    quantity: float
    unit: str
    hours: float
    rate: str
    mix: Mix | None = None


@dataclass(frozen=True)
class Laid:
    """A coat with the task that lays it; `face` where it is the last of its layer."""

    task: str
    layer: Layer
    coat: Coat
    face: bool

    def with_more(self, litres: float) -> Laid:
        """The same coat with so much more of it [l]."""
        return (
            replace(self, coat=replace(self.coat, volume_l=self.coat.volume_l + litres)) if litres else self
        )


def laid_coats(wall: WallResult) -> tuple[Laid, ...]:
    """The coats of a wall as they are priced, innermost first.

    The innermost has what goes through the laths behind it, the last of each layer what is allowed for what
    the readings do not show. A coat of less than `CRUMB_L` is laid with the next of its mix.
    """
    coats = list(_coats(wall.layers))
    if coats:
        coats[0] = coats[0].with_more(keys_l(wall))
    return tuple(_without_crumbs(_with_allowance(coats, wall)))


def _with_allowance(coats: list[Laid], wall: WallResult) -> list[Laid]:
    """What is allowed of each mix in its role, on the last coat of that layer; a layer of its own else."""
    for part in wall.allowance:
        of_part = [
            nth
            for nth, each in enumerate(coats)
            if (each.layer.mix, each.layer.role) == (part.mix, part.role)
        ]
        if of_part:
            _put_on(coats, of_part, part.litres)
        else:
            coat = Coat(0.0, part.litres, 0.0)
            layer = Layer(part.role, part.mix, Coats((coat,)))
            coats = sorted([*coats, Laid(_task(part.role, True), layer, coat, True)], key=_turn)
    return coats


def _put_on(coats: list[Laid], of_layer: Sequence[int], litres: float) -> None:
    """Litres on the last coat of a layer; below 0 they come off those under it, too, once it has none."""
    for nth in reversed(of_layer):
        here = max(litres, -coats[nth].coat.volume_l)
        coats[nth], litres = coats[nth].with_more(here), litres - here


def _turn(laid: Laid) -> int:
    """Which layers go on first [-]."""
    return {"finish": 3, "backing": 2, "dubbing out": 1}.get(laid.layer.role, 0)


def _without_crumbs(coats: list[Laid]) -> list[Laid]:
    kept = [each for each in coats if not _is_crumb(each)]
    for crumb in filter(_is_crumb, coats if kept else ()):
        at = next((nth for nth, each in enumerate(kept) if each.layer.mix == crumb.layer.mix), None)
        if at is not None:
            kept[at] = kept[at].with_more(crumb.coat.volume_l)
    return kept or coats


def _is_crumb(laid: Laid) -> bool:
    return laid.task in (PATCHES, DUB_OUT) and laid.coat.volume_l < CRUMB_L


def _coats(layers: Sequence[Layer]) -> Iterator[Laid]:
    for layer in reversed(layers):
        for coat in reversed(layer.coats):
            face = coat is layer.coats[0]
            yield Laid(_task(layer.role, face), layer, coat, face)


def _task(role: str, face: bool) -> str:
    """The task that lays a coat of a layer, the last one of it or another."""
    if role in PATCH_ROLES:
        return PATCHES
    if role == "finish":
        return FINISH
    return FLOAT if role == "backing" and face else DUB_OUT


def float_h_per_m2(mean_mm: float, mix: Mix, rates: LabourRates) -> float:
    """Hours to float one square metre of a coat of that mean thickness [h/m²].

    Examples
    --------
    Gypsum takes 0.5 to 15 mm and 0.1 for each further 5 mm:

    >>> float_h_per_m2(12, catalogue.LIGHT_GYPSUM, LabourRates())
    0.5
    >>> float_h_per_m2(20, catalogue.LIGHT_GYPSUM, LabourRates())
    0.6
    """
    more_mm = max(0.0, mean_mm - rates.float_to_mm)
    return rates.float_for(mix) + rates.float_more_h_per_m2_per_5_mm * more_mm / 5


def further_hours(coats: Iterable[Coat], mix: Mix, rates: LabourRates) -> float:
    """Hours for coats under another one: by the area of each, and by their litres [h].

    A litre is 10 mm on a tenth of a square metre.

    Examples
    --------
    10 m² of gypsum 10 mm thick: 0.1 h/m² for the coat and 0.2 for its 10 mm.

    >>> further_hours([Coat(10.0, 100.0, 10.0)], catalogue.LIGHT_GYPSUM, LabourRates())
    3.0
    """
    coats = list(coats)
    area_m2, litres = sum(coat.area_m2 for coat in coats), sum(coat.volume_l for coat in coats)
    return area_m2 * rates.further_for(mix) + litres * rates.each_10_mm_h_per_m2 / 10


def patch_hours(count: int, area_m2: float, rates: LabourRates) -> float:
    """Hours for patches: a least charge for each and the area of all [h].

    Examples
    --------
    >>> patch_hours(1, 0.5, LabourRates())
    1.0
    """
    return count * rates.patch_h_each + area_m2 * rates.patch_h_per_m2


def wall_factor(entry: JobWall, storey: int, rates: LabourRates) -> float:
    """How much slower a wall goes than a large one at the ground: small or narrow, high, up the stairs [-].

    A narrow wall is a small one for the same reason, so the greater of these two factors counts, not both.
    """
    wall = entry.wall
    small = wall.width_m * wall.height_m - deducted_area_m2(wall) < rates.small_wall_m2
    narrow = wall.width_m < rates.narrow_m
    size = max(rates.small_wall_factor if small else 1.0, rates.narrow_factor if narrow else 1.0)
    height = rates.high_wall_factor if wall.height_m > rates.high_wall_m else 1.0
    return float(size * height * rates.storey_factor**storey)


def wall_pieces(job: Job, wall: WallResult, measures: Measures) -> tuple[WorkPiece, ...]:
    """Every piece of work on one wall; those that there is nothing of have no hours."""
    plastering = _plastering(measures, wall, job)
    return (*_preparation(measures, job), *plastering, *_last(measures, wall, job))


def _by_rate(task: str, quantity: float, unit: str, rate_h: float, formats: Formats) -> WorkPiece:
    return WorkPiece(task, quantity, unit, quantity * rate_h, f"{formats.short(rate_h)} h/{unit}")


def _preparation(measures: Measures, job: Job) -> list[WorkPiece]:
    rates, formats = job.rates, job.formats
    return [
        _by_rate(HACK_OFF, measures.hacked_m2, "m²", rates.hack_off_h_per_m2, formats),
        _by_rate(TAKE_DOWN, measures.cut_m2, "m²", rates.take_down_h_per_m2, formats),
        _by_rate(PRIME, measures.treated_m2, "m²", rates.prime_h_per_m2, formats),
        _by_rate(RAILS, measures.rail_m, "m", rates.rails_h_per_m, formats),
        _by_rate(MESH, measures.mesh_m2, "m²", rates.mesh_h_per_m2, formats),
        _by_rate(BEADS, measures.angle_bead_m + measures.stop_bead_m, "m", rates.beads_h_per_m, formats),
    ]


def _plastering(measures: Measures, wall: WallResult, job: Job) -> list[WorkPiece]:
    """Patches, deep coats, the coat over the wall: what fills a patch is paid once, with the patch."""
    laid = laid_coats(wall)
    deep_l = sum(each.coat.volume_l for each in laid if each.task == DUB_OUT)
    in_patches_l = measures.hollows_l if wall.floated else 0.0
    left_share = max(0.0, 1.0 - in_patches_l / deep_l) if deep_l > 0 else 0.0
    return [
        _patches(laid, measures, job),
        *_dub_out(laid, left_share, job),
        *_float(laid, max(0.0, in_patches_l - deep_l), measures, job),
    ]


def _patches(laid: Sequence[Laid], measures: Measures, job: Job) -> WorkPiece:
    """Patches by number and area; where they are a layer of their own, each further coat of them too."""
    rates, short = job.rates, job.formats.short
    hours = patch_hours(measures.hollows, measures.hollows_m2, rates)
    rate = f"{short(rates.patch_h_each)} h each and {short(rates.patch_h_per_m2)} h/m²"
    own = [each for each in laid if each.task == PATCHES]
    under = [each for each in own if not each.face]
    if under:
        more = sum(each.coat.area_m2 * rates.further_for(each.layer.mix) for each in under)
        area_m2 = sum(each.coat.area_m2 for each in under)
        hours += more
        rate += f", {job.formats.number(more, 2)} h for {job.formats.number(area_m2, 2)} m² of further coats"
    inner = own or [each for each in laid if each.task == DUB_OUT] or list(laid)
    mix = inner[0].layer.mix if inner else None
    return WorkPiece(PATCHES, measures.hollows_m2, "m²", hours, rate, mix)


def _dub_out(laid: Sequence[Laid], left_share: float, job: Job) -> Iterator[WorkPiece]:
    """Coats under the one that covers the wall, by mix: the share of them that fills no patches."""
    deep = [each for each in laid if each.task == DUB_OUT]
    for mix in dict.fromkeys(each.layer.mix for each in deep):
        coats = [each.coat for each in deep if each.layer.mix == mix]
        area_m2 = left_share * sum(coat.area_m2 for coat in coats)
        hours = left_share * further_hours(coats, mix, job.rates)
        yield WorkPiece(DUB_OUT, area_m2, "m²", hours, _further_words(mix, job), mix)


def _further_words(mix: Mix, job: Job) -> str:
    rates, short = job.rates, job.formats.short
    each = f"{short(rates.each_10_mm_h_per_m2)} h/m² for each 10 mm"
    if not rates.further_for(mix):
        return f"{each} whatever the number of coats (your own rate), patches apart"
    return f"{short(rates.further_for(mix))} h/m² a coat and {each}, patches apart"


def _float(laid: Sequence[Laid], in_patches_l: float, measures: Measures, job: Job) -> Iterator[WorkPiece]:
    """The backing coat that covers the wall, by its mean thickness beside what of it fills patches [l]."""
    rates, short = job.rates, job.formats.short
    more_m2 = measures.paid_m2 - measures.coated_m2
    for each in (each for each in laid if each.task == FLOAT and each.coat.area_m2 > 0):
        mix, coat = each.layer.mix, each.coat
        rate = (
            f"{short(rates.float_for(mix))} h/m² to {short(rates.float_to_mm)} mm and "
            f"{short(rates.float_more_h_per_m2_per_5_mm)} for each further 5 mm"
        )
        area_m2 = coat.area_m2 + more_m2
        mean_mm = max(0.0, coat.volume_l - in_patches_l) / coat.area_m2
        hours = area_m2 * float_h_per_m2(mean_mm, mix, rates)
        yield WorkPiece(FLOAT, area_m2, "m²", hours, rate, mix)


def _finish(laid: Sequence[Laid], measures: Measures, job: Job) -> Iterator[WorkPiece]:
    """The last coat of finish by area, with reveals that are only skimmed; the coats under it as such."""
    finish = [each for each in laid if each.task == FINISH]
    for each in (each for each in finish if each.face):
        mix, skimmed = each.layer.mix, measures.paid_m2 + measures.reveal_skim_m2
        yield replace(_by_rate(FINISH, skimmed, "m²", job.rates.skim_h_per_m2, job.formats), mix=mix)
        under = [other.coat for other in finish if other.layer is each.layer and not other.face]
        if under:
            area_m2, hours = sum(coat.area_m2 for coat in under), further_hours(under, mix, job.rates)
            words = _further_words(mix, job).removesuffix(", patches apart")
            yield WorkPiece(FINISH, area_m2, "m²", hours, words, mix)


def _last(measures: Measures, wall: WallResult, job: Job) -> list[WorkPiece]:
    rates, formats, backing = job.rates, job.formats, wall.system.backing
    short = formats.short
    channels = 0.0 if job.rails.left_in else measures.rail_m
    sockets, radiators = measures.sockets, measures.radiators
    fitting = sockets * rates.fitting_h_each + radiators * rates.radiator_h_each
    fitting_rate = f"sockets {short(rates.fitting_h_each)} h, radiators {short(rates.radiator_h_each)} h each"
    return [
        replace(_by_rate(REVEALS, measures.reveal_m, "m", rates.reveals_h_per_m, formats), mix=backing),
        replace(_by_rate(MAKE_GOOD, channels, "m", rates.make_good_h_per_m, formats), mix=backing),
        *_finish(laid_coats(wall), measures, job),
        WorkPiece(FITTINGS, sockets + radiators, "piece", fitting, fitting_rate),
    ]


def check_rates(walls: Sequence[WallResult], measures: Sequence[Measures]) -> None:
    """See that everything that is laid has a labour rate.

    Raises
    ------
    TakeoffError
        A layer of a role, or something that goes on first, that no rate is known for: all of them at once.
    """
    check = Check()
    for wall, measured in zip(walls, measures, strict=True):
        way = wall.treatment.name if wall.treatment else "floated"
        for layer in wall.layers:
            check.that(
                layer.role in ROLES,
                f"{layer.mix.name} as {layer.role!r}",
                f"labour has a rate for each coat that is laid: as {', '.join(ROLES)}",
                "give the layer one of these roles, or treat the wall in another way",
                f"wall {wall.entry.name!r}, {way}",
            )
        check.that(
            measured.treatment in TREATMENTS,
            f"{measured.treatment} on {wall.entry.background}",
            f"labour has a rate for what goes on first: {', '.join(filter(None, TREATMENTS))}",
            "choose a background or a mix that takes one of these",
            f"wall {wall.entry.name!r}",
        )
    check.done()
