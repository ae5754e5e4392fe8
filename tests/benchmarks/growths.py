"""What is measured for docs/performance.md: each row a figure, how it grows over three sizes, and what limits it."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from linkage.clearance import clearance
from linkage.drawing.frames import steady
from linkage.drawing.retraction import motion_clip
from linkage.drawing.video import find_ffmpeg, save_clip
from linkage.loading import Stance2, cg_range, ground_range
from linkage.mechanism import Load, balance, plan, solve, trace
from linkage.obstacles import obstacles
from linkage.search import batches, screen_batch
from linkage.solution import solve as solve_all
from linkage.stroke import gear_and_stroke
from linkage.sweep import region, sweep
from linkage.tolerance import spread
from tests.benchmarks.measure import children, command, exponent, least, machine
from tests.benchmarks.test_kernel_speed import POINTS, STROKE
from tests.loading.test_speed import twelve_items
from tests.mechanism.linkages import AXLE, KNEE, SPRING_PIN, demo_gear
from tests.search.finding import demo
from tests.studies import MERROW, changed, source
from tests.tolerance.bench import merrow


@dataclass(frozen=True)
class Row:
    """``figure``: what was measured, s of processor time unless it says otherwise; ``growth``: three sizes, s at each,
    and the exponent; ``machine``: at that moment; ``limit``: what takes the time."""

    name: str
    figure: str
    growth: tuple[str, ...]
    machine: str
    limit: str


def grown(of: str, sizes: Sequence[int], work: Callable[[int], object], runs: int = 3) -> tuple[str, list[float]]:
    """Words for how ``work`` grows with its size, and its seconds at each; done once before, so that what is kept for
    a process is not counted."""
    work(sizes[0])
    times = least(*((lambda n=n: work(n)) for n in sizes), runs=runs)
    each = ", ".join(f"{n}: {seconds(t)}" for n, t in zip(sizes, times, strict=True))
    return f"{of}^{exponent(sizes, times):.2f} ({each})", times


def seconds(time: float) -> str:
    return f"{time:.2f} s" if time >= 0.995 else f"{1e3 * time:.3g} ms"


def kernel() -> Row:
    found, sizes = plan(demo_gear()), (10_000, 100_000, 1_000_000)
    text, times = grown("poses", sizes, lambda n: trace(found, np.linspace(0.0, STROKE, n), POINTS))
    limit = "square roots and divisions of one core, in blocks that stay in its cache"
    return Row("kernel", f"7 points at 10^6 poses: {seconds(times[-1])}", (text,), machine(), limit)


def pin_forces() -> Row:
    gear, sizes = demo_gear(), (1_000, 10_000, 100_000)
    loads = [Load("leg", AXLE, 200.0 - 150j), Load("lower", KNEE, -9j), Load("spring rod", SPRING_PIN, 450.0, 3.0)]
    motions = {n: solve(plan(gear), np.linspace(-0.02, STROKE, n), order=0) for n in sizes}
    text, times = grown("poses", sizes, lambda n: balance(gear, motions[n], loads, "actuator"))
    limit = "one 21 x 21 system a pose, solved by LAPACK; the rest is filling it"
    return Row("pin forces", f"10^5 poses: {seconds(times[-1])}", (text,), machine(), limit)


def swept() -> Row:
    study = changed({})
    gear, stroke = gear_and_stroke(study)
    (whole,) = least(lambda: sweep(study, gear, stroke), runs=3)
    parts, up = gear.parts, stroke.driven_up
    fine, _ = grown("fineness", (1, 4, 16), lambda n: [region(gear, p, up, 0.4 / n) for p in parts])
    sizes = (max(len(parts) // 4, 1), max(len(parts) // 2, 2), len(parts))
    many, _ = grown("parts", sizes, lambda n: [region(gear, p, up, study.keep_out.tolerance) for p in parts[:n]])
    limit = (
        "joining of strips in the geometry engine; fineness 1 is 0.4 mm; part by part in the growths, which costs"
        " more than all at once"
    )
    return Row("sweep", f"{len(parts)} parts to {study.keep_out.tolerance:g} mm: {seconds(whole)}",
               (fine, many), machine(), limit)  # fmt: skip


def gaps() -> Row:
    study = changed({})
    gear, stroke = gear_and_stroke(study)
    bay = tuple(obstacles(study, MERROW.parent))

    def crowd(n: int) -> object:
        more = [replace(o, name=f"{o.name} {k}") for k in range(n // len(bay)) for o in bay]
        return clearance(study, gear, stroke, more)

    def fewer(n: int) -> object:
        return clearance(study, replace(gear, parts=gear.parts[:n]), stroke, bay)

    count = len(gear.parts)
    items, times = grown("items", [len(bay) * k for k in (1, 2, 4)], crowd)
    parts, _ = grown("parts", (max(count // 4, 1), count // 2, count), fewer)
    poses = [gear_and_stroke(changed({"stroke.poses": n})) for n in (91, 181, 361)]
    by_poses, _ = grown(
        "poses", (91, 181, 361), lambda n: clearance(study, gear, poses[(91, 181, 361).index(n)][1], bay)
    )
    limit = (
        "distances of shapes, pair by pair, item by item; parts against each other are the part that no item adds to"
    )
    return Row("clearance", f"{count} parts, {len(bay)} slices of items, every gap to 0.05 mm: {seconds(times[0])}",
               (items, parts, by_poses), machine(), limit)  # fmt: skip


def loading() -> Row:
    stance = Stance2(800 + 10j, 2900 + 0j)
    turn = iter(range(10_000))

    def work(choices: int) -> None:
        model = twelve_items(choices.bit_length() - 1, next(turn))  # a new one each time: nothing is remembered
        cg_range(model)
        ground_range(model, stance)

    text, times = grown("choices", (1, 16, 256), work)
    limit = "extremes over each choice of what is aboard, all choices in one array"
    return Row("load share", f"15 extremes, 12 items, 256 choices: {seconds(times[-1])}", (text,), machine(), limit)


def search() -> Row:
    study, items = demo()
    sizes = (1 << 13, 1 << 14, 1 << 15)
    given = {n: batches(study, items, n, 1, n, 1)[0] for n in sizes}
    text, times = grown("candidates", sizes, lambda n: screen_batch(given[n]))
    rate = 60e-6 * sizes[-1] / times[-1]
    limit = "candidates that pass the closed forms are looked at over the stroke; more cores, more candidates"
    return Row("search", f"{rate:.1f} million candidates/min on one core", (text,), machine(), limit)


def tolerance() -> Row:
    base, sizes = merrow(), (5_000, 20_000, 80_000)
    text, times = grown("gears", sizes, lambda n: spread(base, n, 1), runs=2)
    figure = f"80 000 gears, gaps at {len(base.watches)} places each: {seconds(times[-1])}"
    limit = "each gap followed to its least place in every gear; a start of its own, so few gears cost more each"
    return Row("tolerance", figure, (text,), machine(), limit)


def animation() -> Row:
    results = solve_all(source()).results
    clips = {n: motion_clip(results, steady(results, n)) for n in (30, 60, 120)}
    suffix = ".mp4" if find_ffmpeg() else ".gif"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"clip{suffix}"
        text, times = grown("frames", (30, 60, 120), lambda n: save_clip(clips[n], path))
        before, start = children(), time.perf_counter()
        save_clip(clips[120], path)
        wall, encoder = time.perf_counter() - start, children() - before
    figure = f"retraction, 120 frames of 1280x720, {suffix}: {seconds(times[-1])} here, {encoder:.2f} s in the encoder"
    figure += f" ({wall:.2f} s by the clock)"
    limit = (
        "the encoder; then copying of whole pictures, the shapes that move, marks on the curves; letters are a seventh"
    )
    return Row("animation", figure, (text,), machine(), limit)


def shares() -> str:
    """The steps of the solver that take most of its time, %."""
    steps: list[tuple[str, float]] = []
    solve_all(source(), closely=False)
    solve_all(source(), lambda step: steps.append((step, time.process_time())), closely=False)
    ends = [*(at for _, at in steps[1:]), time.process_time()]
    spent = {name: end - at for (name, at), end in zip(steps, ends, strict=True)}
    most = sorted(spent, key=lambda name: -spent[name])[:4]
    return ", ".join(f"{name} {100 * spent[name] / sum(spent.values()):.0f} %" for name in most)


def start_up() -> Row:
    check = ("-m", "linkage", "check", str(MERROW))
    command(*check, codes=(0, 1))  # compiled files
    told, whole = command("-m", "linkage", "--help", runs=5), command(*check, runs=3, codes=(0, 1))
    read = command("-c", "import linkage.solution", runs=3)
    poses = (91, 181, 361)
    times = [command(*check, "--set", f"stroke.poses={n}", runs=2, codes=(0, 1)).processor for n in poses]
    each = ", ".join(f"{n}: {seconds(t)}" for n, t in zip(poses, times, strict=True))
    figure = (
        f"`--help` {seconds(told.processor)} ({told.wall:.2f} s by the clock), imports {seconds(read.processor)},"
        f" whole `check` {seconds(whole.processor)} ({whole.wall:.2f} s by the clock)"
    )
    limit = f"imports first; then of the solver's time {shares()}"
    return Row("start-up", figure, (f"poses^{exponent(poses, times):.2f} ({each})",), machine(), limit)


def review() -> Row:
    with tempfile.TemporaryDirectory() as folder:
        words = ("-m", "linkage", "review", str(MERROW), "-o", folder)
        together = command(*words, codes=(0, 1))
        each = {
            n: command(*words, "--workers", "1", "--set", f"stroke.poses={n}", codes=(0, 1)) for n in (91, 181, 361)
        }
    times = [spent.processor for spent in each.values()]
    told = ", ".join(f"{n}: {seconds(t)}" for n, t in zip(each, times, strict=True))
    best = min(spent.wall for spent in each.values())
    figure = f"everything, with three films: {seconds(min(times))} by one process ({best:.0f} s by the clock),"
    figure += f" {seconds(together.processor)} by all ({together.wall:.0f} s by the clock)"
    limit = (
        "pictures (places of labels, letters as outlines and as dots), films and their encoder, the pack's typesetter,"
        " solids; a process beside costs its libraries; a twelfth of it is the solver"
    )
    return Row("review", figure, (f"poses^{exponent(list(each), times):.2f} ({told})",), machine(), limit)


def rows(tell: Callable[[str], None]) -> Iterator[Row]:
    for work in (kernel, pin_forces, loading, swept, gaps, search, tolerance, animation, start_up, review):
        row = work()
        tell(f"{row.name}: {row.figure}; {'; '.join(row.growth)}; {row.machine}")
        yield row
