"""Find positions: candidates sampled so that the wheel stands where it is wanted, screened over the whole stroke."""

from linkage.search.candidates import Branch, Candidates, branches, study_of, variants_of, wishes
from linkage.search.contradictions import check_wishes
from linkage.search.screen import screen_batch
from linkage.search.screened import MEASURES, Batch, Screened, batches, best, merge

__all__ = [
    "MEASURES",
    "Batch",
    "Branch",
    "Candidates",
    "Screened",
    "batches",
    "best",
    "branches",
    "check_wishes",
    "merge",
    "screen_batch",
    "study_of",
    "variants_of",
    "wishes",
]
