"""Emergency extension: the gear falls from its up-lock, driven by weight, springs and air alone."""

from linkage.extension.envelope import Envelope
from linkage.extension.simulate import Extension
from linkage.extension.study import EmergencyExtension, extension

__all__ = ["EmergencyExtension", "Envelope", "Extension", "extension"]
