"""A search from wishes to judged designs: sample and screen, take the front, refine, prove gaps, judge, count."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.random import SeedSequence

from linkage.crew import Gathered
from linkage.document.reader import Source
from linkage.document.write import Raw
from linkage.mechanism.model import Floats
from linkage.obstacles import Obstacle, obstacles
from linkage.search.candidates import branches, wishes
from linkage.search.contradictions import check_wishes
from linkage.search.found import Found, Member
from linkage.search.front import COUNTED, ENDLESS, Indices, Scale, merits, non_dominated, ranked, scale, thinned
from linkage.search.interrupts import Interrupts
from linkage.search.refined import Climb, climbed, emphases, start_of
from linkage.search.screen import screen_batch
from linkage.search.screened import PASSED, POSED, SAMPLED, Batch, Screened, batches, best, merge
from linkage.search.survivors import PROVED, Judged, Origin, Short, Trial, changes_of, judged, origin, proved, refusal

Tell = Callable[[str, int, int, float], None]
"""``tell(step, done, total, rate)``; ``rate`` in candidates/s while screening, else in designs/s."""

BATCH = 1 << 16
"""Candidates in a batch, at most: about a second's work. Not by the number of workers, or the answer would depend on
it."""

MOST = 4000
"""Designs of a batch that are all kept."""

SURVIVORS = 8
"""Designs whose gaps are proved, for each that is to be kept."""

HURRIED = 2
"""The same where the screening was ended by hand."""

STARTS, GENERATION = 32, 96
"""Designs from which a refinement begins, and in each of its generations."""

ROOM = 1.0
"""mm of margin by the lattice that a refinement keeps, for the lattice is not exact."""

BEATEN = "beaten by others, not looked at closely"
SPARE = "fit so far, not judged: enough better ones were found"
UNSEEN = "not looked at: stopped early"
OUTDONE = "beaten by another design in every measure of the full solver"


@dataclass
class _Pool:
    """Designs whose gaps were proved."""

    changes: list[Mapping[str, Raw]] = field(default_factory=list)
    merits: list[Floats] = field(default_factory=list)
    refined: list[bool] = field(default_factory=list)


def screened_all(batch: Batch) -> Screened:
    """What of a batch passes: usually one in some hundred. Where nearly all do, the front and the best in each measure.
    What is kept does not depend on other batches, so neither does the answer on who does them."""
    found = screen_batch(batch)
    if len(found.candidates) <= MOST:
        return found
    front = non_dominated(merits(found.measures))
    leading = np.isin(found.order, best(found, MOST // 8).order)
    leading[front] = True
    return found.take(np.flatnonzero(leading))


def find(
    source: Source,
    settings: Mapping[str, Any],
    count: int,
    seed: int,
    keep: int,
    executor: Executor | None = None,
    tell: Tell = lambda step, done, total, rate: None,
) -> Found:
    """Search for ``keep`` designs among ``count`` candidates and what lies between them. ``settings``: of the command
    line, already in the source's study. The same seed gives the same designs whatever the ``executor``.

    Ctrl-C while screening ends the screening and judges what was found; a second one keeps what is judged. Between two
    steps it counts for the one before.
    Raises ``DocumentError`` for a study or wishes that cannot be meant.
    """
    study, begin = source.study, origin(source, settings)
    items = tuple(obstacles(study, source.path.parent))
    check_wishes(study, items)
    work = batches(study, items, count, seed, BATCH, len(branches(study)))
    start = time.perf_counter()
    tell("the present design", 0, 1, 0.0)
    present = judged(Trial(begin, {}, "present"))
    excused = tuple(f for f in present.short if f[0] not in PROVED)
    rate_of = count / len(work)
    with Interrupts() as interrupts:
        first = interrupts.gathered(
            screened_all,
            work,
            executor,
            lambda done, total, rate: tell("screening", int(done * rate_of), count, rate * rate_of),
        )
        screening = time.perf_counter() - start
        passed = merge(first.results)
        later: Counter[str] = Counter()
        stopped = first.stopped
        search = _Search(source, begin, items, keep, executor, tell, later, seed, excused, stopped, interrupts)
        members = search.finish(passed, work)
    return Found(
        title=study.title,
        sha256=source.sha256,
        members=members,
        present=present,
        excused=excused,
        sampled=passed.counts.get(SAMPLED, 0),
        asked=count,
        passed=passed.counts.get(PASSED, 0),
        posed=passed.counts.get(POSED, 0),
        refused={reason: n for reason, n in passed.refused.items() if n},
        looked_at=search.looked_at,
        refined=search.refined,
        refused_later=dict(sorted(later.items(), key=lambda pair: (-pair[1], pair[0]))),
        stopped=search.stopped,
        seconds=time.perf_counter() - start,
        screening=screening,
        seed=seed,
        redone=first.redone + search.redone,
    )


@dataclass
class _Search:
    """What the steps after screening share."""

    source: Source
    begin: Origin
    items: tuple[Obstacle, ...]
    keep: int
    executor: Executor | None
    tell: Tell
    later: Counter[str]
    seed: int
    excused: tuple[Short, ...]
    stopped: bool
    interrupts: Interrupts = field(default_factory=Interrupts)
    looked_at: int = 0
    refined: int = 0
    redone: int = 0

    def finish(self, passed: Screened, work: Sequence[Batch]) -> tuple[Member, ...]:
        """From what passed screening to judged members."""
        pool = _Pool()
        if len(passed.candidates):
            values = merits(passed.measures)
            front = non_dominated(values)
            by = scale(values[front], wishes(self.source.study).weights)
            most = (HURRIED if self.stopped else SURVIVORS) * self.keep
            chosen = self._chosen(values, front, by, most)
            self._count(BEATEN, passed.counts[PASSED] - len(chosen))
            self.stopped = self.stopped or self.interrupts.heard
            more = [] if self.stopped else self._refined(passed, by, work)
            self._prove([(passed.take(chosen), False), *((m, True) for m in more)], pool)
        return self._judge(pool)

    def _chosen(self, values: Floats, front: Indices, by: Scale, most: int) -> Indices:
        """Well spread ones of the front; if it has fewer, the best of those behind it."""
        ahead = front[thinned(values[front], by, most)]
        behind = np.setdiff1d(np.arange(len(values)), front)
        return np.concatenate([ahead, behind[ranked(by.score(values[behind]))][: most - len(ahead)]])

    def _count(self, reason: str, number: int) -> None:
        if number:
            self.later[reason] += number

    def _gather(self, step: str, work: Callable[[Any], Any], jobs: Sequence[Any]) -> Gathered[Any]:
        done = self.interrupts.gathered(
            work, jobs, self.executor, lambda d, total, rate: self.tell(step, d, total, rate)
        )
        self.stopped = self.stopped or done.stopped
        self.redone += done.redone
        return done

    def _refined(self, passed: Screened, by: Scale, work: Sequence[Batch]) -> list[Screened]:
        """What differential evolution finds around the best, for each emphasis and each branch."""
        values = merits(passed.measures)
        jobs: list[Climb] = []
        for each in emphases(by):
            order = ranked(each.score(values))
            for branch in np.unique(passed.candidates.branch):
                rows = [i for i in order if passed.candidates.branch[i] == branch][:STARTS]
                starts = np.array([self._start(work, int(passed.order[i])) for i in rows])
                number = len(work) + len(jobs)
                jobs.append(
                    Climb(
                        self.source.study,
                        self.items,
                        starts,
                        int(branch),
                        each,
                        SeedSequence([self.seed, number]),
                        GENERATION,
                        number,
                        ROOM,
                    )
                )
        found: list[Screened] = []
        for one in self._gather("refining", climbed, jobs).results:
            if len(one.candidates):
                values = merits(one.measures)
                front = non_dominated(values)
                found.append(one.take(front[thinned(values[front], by, self.keep)]))
                self.refined += len(found[-1].candidates)
        return found

    def _start(self, work: Sequence[Batch], order: int) -> Floats:
        return start_of(work[order >> 32], order & 0xFFFFFFFF)

    def _prove(self, groups: Sequence[tuple[Screened, bool]], pool: _Pool) -> None:
        """Guaranteed gaps of them all; those that keep every gap go on with what is proved."""
        trials: list[Trial] = []
        known: list[tuple[Floats, bool]] = []
        for group, refined in groups:
            values = merits(group.measures)
            for i in range(len(group.candidates)):
                changes = changes_of(self.begin, self.source, group.candidates, i)
                trials.append(Trial(self.begin, changes, str(len(trials)), self.excused))
                known.append((values[i], refined))
        done = self._gather("proving gaps", proved, trials)
        self._count(UNSEEN, len(trials) - done.done)
        self.looked_at += done.done
        for place, answer in zip(done.places, done.results, strict=True):
            if isinstance(answer, str):
                self._count(answer, 1)
            else:
                row, refined = known[place]
                pool.changes.append(trials[place].changes)
                pool.merits.append(np.concatenate([[min(answer, ENDLESS)], row[1:]]))
                pool.refined.append(refined)

    def _judge(self, pool: _Pool) -> tuple[Member, ...]:
        """The full solver on the pool's front until ``keep`` stand that no other beats, then on what is behind it until
        ``keep`` stand at all; those it refuses are counted."""
        self.stopped |= self.interrupts.heard
        self.interrupts.heard = False  # it counts for the step before
        ahead, behind = self._in_turn(pool)
        stood: list[tuple[Judged, int]] = []
        going = True
        for left, standing in ((ahead, _unbeaten), (behind, len)):
            while going and left and (lack := self.keep - standing(stood)) > 0:
                now, left[:lack] = left[:lack], []
                going = self._try(pool, now, stood)
        self._count(SPARE, len(ahead) + len(behind))
        return self._members(pool, stood)

    def _try(self, pool: _Pool, now: Sequence[int], stood: list[tuple[Judged, int]]) -> bool:
        """Adds those that stand; False where it was stopped."""
        done = self._gather("judging", judged, [Trial(self.begin, pool.changes[i], str(i)) for i in now])
        self._count(UNSEEN, len(now) - done.done)
        for place, found in zip(done.places, done.results, strict=True):
            reason = refusal(found, self.excused)
            if reason:
                self._count(reason, 1)
            else:
                stood.append((found, now[place]))
        return not done.stopped

    def _in_turn(self, pool: _Pool) -> tuple[list[int], list[int]]:
        """Places of the pool: its front, well spread ones first, and the rest; each else by score."""
        if not pool.changes:
            return [], []
        values = np.array(pool.merits)
        front = non_dominated(values)
        by = scale(values[front], wishes(self.source.study).weights)
        firsts = [int(i) for i in front[thinned(values[front], by, self.keep)]]
        ahead, order = set(front.tolist()), [int(i) for i in ranked(by.score(values))]
        more = [i for i in order if i in ahead and i not in firsts]
        return [*firsts, *more], [i for i in order if i not in ahead]

    def _members(self, pool: _Pool, stood: Sequence[tuple[Judged, int]]) -> tuple[Member, ...]:
        """Those that stood, by what the full solver measured; what another beats there is left out."""
        if not stood:
            return ()
        values = _measured(stood)
        front = non_dominated(values)
        by = scale(values[front], wishes(self.source.study).weights)
        score = by.score(values[front])
        self._count(OUTDONE, len(stood) - len(front))
        members = []
        for place, k in enumerate(ranked(score)):
            found, i = stood[int(front[k])]
            name = f"found-{place + 1:02d}"
            text = self.begin.with_changes(pool.changes[i]).text
            members.append(
                Member(name, pool.changes[i], text, replace(found, name=name), float(score[k]), pool.refined[i])
            )
        return tuple(members)


def _measured(stood: Sequence[tuple[Judged, int]]) -> Floats:
    return merits({name: np.array([j.measures[name] for j, _ in stood]) for name in COUNTED})


def _unbeaten(stood: Sequence[tuple[Judged, int]]) -> int:
    return len(non_dominated(_measured(stood)))
