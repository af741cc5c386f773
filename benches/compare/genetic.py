"""Genetic algorithms of pymoo, and blind guessing, on the program's own figures."""

import time
from dataclasses import dataclass

import numpy as np
from pymoo.algorithms.moo.nsga2 import NSGA2
from pymoo.algorithms.soo.nonconvex.ga import GA
from pymoo.core.duplicate import DefaultDuplicateElimination
from pymoo.core.evaluator import Evaluator
from pymoo.core.mutation import Mutation
from pymoo.core.problem import Problem
from pymoo.core.sampling import Sampling
from pymoo.operators.crossover.ux import UX
from pymoo.problems.static import StaticProblem
from pymoo.core.termination import NoTermination

from program import Genes, Program, processor_time

# A rule excludes the combination: worse than any failed check, which are -100 % at the worst as a rule.
EXCLUDED = 10.0


@dataclass(frozen=True)
class Setting:
    """How a run searches."""

    method: str  # "blind", "GA", "NSGA-II"
    population: int
    # genes of a child that change, in the mean
    changes: float
    # generations without a better best after which the single-objective search starts anew; what it found is kept
    patience: int


class Asked:
    """All names asked so far with their figures, and when."""

    def __init__(self, program, genes, end):
        self.program, self.genes, self.end = program, genes, end
        self.start = time.monotonic()
        self.known = {}

    def score(self, rows):
        rows = self.genes.canonical(rows)
        names = self.genes.names(rows)
        new = list(dict.fromkeys(name for name in names if name not in self.known))
        if new:
            answers = self.program.score(new)
            at = time.monotonic() - self.start
            self.known.update({name: (answer, at) for name, answer in zip(new, answers)})
        return [self.known[name][0] for name in names]

    def late(self):
        return time.monotonic() >= self.end


class FromGenes(Sampling):
    def __init__(self, genes):
        super().__init__()
        self.genes = genes

    def _do(self, problem, n_samples, *, random_state=None, **kwargs):
        return self.genes.random(n_samples, random_state)


class StepOrJump(Mutation):
    """So many genes in the mean: one or two places up or down, or to any value, half and half."""

    def __init__(self, genes, changes):
        super().__init__(prob=1.0)
        self.genes, self.changes = genes, changes

    def _do(self, problem, X, *args, random_state=None, **kwargs):
        rng, sizes = random_state, self.genes.sizes
        chosen = rng.random(X.shape) < self.changes / len(sizes)
        step = rng.integers(1, 3, size=X.shape) * rng.choice([-1, 1], size=X.shape)
        stepped = np.clip(X + step, 0, sizes - 1)
        jumped = rng.integers(0, sizes, size=X.shape)
        moved = np.where(rng.random(X.shape) < 0.5, stepped, jumped)
        return np.where(chosen, moved, X).astype(int)


def violation(scored):
    """Constraint, at most 0: the margin of the binding check."""
    if scored.state == "adequate":
        return 0.0
    return EXCLUDED if scored.state == "excluded" else max(-scored.binding_margin / 100.0, 1e-9)


def objectives(scored, many):
    if scored.state == "excluded":
        return (0.0, 0.0, 0.0) if many else (0.0,)
    return scored.point() if many else (scored.objective,)


def genetic(asked, setting, rng):
    """NSGA-II or the single-objective GA until the time is over."""
    genes, many = asked.genes, setting.method == "NSGA-II"
    problem = Problem(n_var=len(genes.sizes), n_obj=3 if many else 1, n_ieq_constr=1, xl=0, xu=genes.sizes - 1, vtype=int)
    operators = {
        "pop_size": setting.population,
        "sampling": FromGenes(genes),
        "crossover": UX(prob=0.9),
        "mutation": StepOrJump(genes, setting.changes),
        "eliminate_duplicates": DefaultDuplicateElimination(func=lambda pop: genes.canonical(pop.get("X"))),
    }
    while not asked.late():
        algorithm = (NSGA2 if many else GA)(**operators)
        algorithm.setup(problem, termination=NoTermination())
        algorithm.random_state = rng
        best, stale = None, 0
        while not asked.late() and (many or stale < setting.patience):
            infills = algorithm.ask()
            if infills is None or len(infills) == 0:
                break
            scored = asked.score(infills.get("X"))
            figures = {
                "F": np.array([objectives(s, many) for s in scored]),
                "G": np.array([[violation(s)] for s in scored]),
            }
            Evaluator().eval(StaticProblem(problem, **figures), infills)
            algorithm.tell(infills=infills)
            if not many:
                now = (float(algorithm.opt[0].CV[0]), float(algorithm.opt[0].F[0]))
                best, stale = (now, 0) if best is None or now < best else (best, stale + 1)


def blind(asked, rng):
    """Random combinations: what anything must beat."""
    while not asked.late():
        asked.score(asked.genes.random(1000, rng))


def island(binary, study, slots, setting, seconds, number):
    """One process with a program of one thread: number of names asked, adequate ones with figures and times, processor
    time.
    """
    used = processor_time()
    program = Program(binary, study, 1)
    genes = Genes(slots)
    program.score(genes.names(genes.canonical(genes.random(1, np.random.default_rng(0)))))  # it is up
    asked = Asked(program, genes, time.monotonic() + seconds)
    rng = np.random.default_rng(number)
    if setting.method == "blind":
        blind(asked, rng)
    else:
        genetic(asked, setting, rng)
    program.close()
    adequate = {name: found for name, found in asked.known.items() if found[0].state == "adequate"}
    return len(asked.known), adequate, processor_time() - used
