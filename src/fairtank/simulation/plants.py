"""The kinds of plants: what individuals of one kind have in common, and what makes one an individual."""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.light import albedo


@dataclass(frozen=True)
class Form:
    """What plants of one kind have in common.

    habit: `stem`, `rosette` or `carpet`. profile: outline of a leaf. leaf_cm, leaf_width_cm: size of a full leaf. spacing_cm: from node to
    node. per_node: leaves at a node. turn: from node to node, or from leaf to leaf [rad]. young, old: sRGB under full light of leaves at
    the tip and low down. lift: elevation of an old leaf [rad]. rib: light of the mid-rib relative to the leaf, 0 for none.
    """

    habit: str
    profile: str
    leaf_cm: float
    leaf_width_cm: float
    spacing_cm: float
    per_node: int
    turn: float
    young: tuple[int, int, int]
    old: tuple[int, int, int]
    lift: float = 0.2
    rib: float = 1.3

    def colour(self, youth: np.ndarray) -> np.ndarray:
        """Linear colour of leaves between old (youth 0) and young (youth 1)."""
        share = youth[..., None]
        mixed: np.ndarray = albedo(*self.young) * share + albedo(*self.old) * (1 - share)
        return mixed


GREEN_STEM = Form("stem", "lance", 2.5, 0.74, 0.95, 2, 1.45, (172, 208, 62), (54, 122, 36), 0.22)
RED_STEM = Form("stem", "oval", 1.9, 0.86, 0.82, 2, 1.5, (232, 88, 72), (128, 50, 40), 0.30, 1.45)
FINE_STEM = Form("stem", "needle", 1.7, 0.20, 0.60, 6, 0.4, (184, 224, 84), (84, 152, 54), 0.35, 0)
ROSETTE = Form("rosette", "leaf", 8.0, 1.55, 0.0, 1, 2.4, (138, 186, 84), (52, 112, 52), 0.55, 1.45)
RIBBON = Form("rosette", "strap", 20.0, 0.62, 0.0, 1, 2.4, (138, 192, 66), (68, 132, 46), 1.35, 1.3)
CARPET = Form("carpet", "round", 0.42, 0.38, 0.0, 3, 2.1, (142, 190, 58), (52, 104, 34), 0.4, 0)


@dataclass(frozen=True)
class Plant:
    """One individual: where it stands, how tall it becomes, and the number that seeds its own shape."""

    form: Form
    x_cm: float
    depth_cm: float
    full_cm: float
    number: int


def eased(share: np.ndarray) -> np.ndarray:
    """A share from 0 to 1 that starts and ends gently."""
    share = np.clip(share, 0, 1)
    return share * share * (3 - 2 * share)


def tufts(ready: np.ndarray, age: np.ndarray, algae_share: float) -> np.ndarray:
    """How far tufts of algae have grown on leaves, 0 to 1: on leaves older than 1, on more of them as algae grow.

    ready is each leaf's own lot, 0 to 1; algae_share the algae cover as a share.
    """
    return np.where(age > 1, np.clip((algae_share * 2.0 - ready) / 0.25, 0, 1), 0)
