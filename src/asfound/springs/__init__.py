"""Springs and struts: what one is, what is needed of it, what can be done about it."""

from asfound.springs.advice import Proposal, SpringInPlace, least_reforming, least_sleeve, propose, propose_for_lost
from asfound.springs.chance import Chance, Tolerances, chance_that_it_will_do, usual_tolerances
from asfound.springs.choose import Choice, Design, choose, design_curve, per_strut, steps, wire_choices
from asfound.springs.compression import CompressionResult, compress
from asfound.springs.drawer import DrawerFit, StockSpring, look_through, read_drawer
from asfound.springs.extension import ExtensionResult, extend
from asfound.springs.flat import LeafResult, SpiralResult, bend_leaf, wind_spiral
from asfound.springs.hold import Holding, judge_hold
from asfound.springs.loaded import LoadedTorsion, fit_problems, load_torsion
from asfound.springs.measured import (
    Cleaning,
    Finding,
    LeverTry,
    MeasuredSpring,
    TorqueSplit,
    TwinComparison,
    compare_cleaning,
    compare_with_dimensions,
    compare_with_twin,
    measure_spring,
    split_torque,
    told_by_magnet_and_colour,
)
from asfound.springs.need import (
    Arrow,
    LinkagePicture,
    Need,
    Strut,
    bellows_force,
    linkage_picture,
    torque_at_give_way,
    torque_needed,
    torque_to_keep,
)
from asfound.springs.reform import Reformed, reform
from asfound.springs.remedies import Remedy, rank_remedies
from asfound.springs.search import Demands, Grid, search
from asfound.springs.sleeve import Sleeved, sleeved
from asfound.springs.strength import Limits, bending_limits
from asfound.springs.torsion import (
    CONSTANTS,
    TorqueCurve,
    TorsionConstant,
    TorsionSpring,
    dimension_problems,
    rate_of,
    torque_curve,
)
from asfound.springs.winding import Mandrel, Outline, WindingSheet, winding_sheet
from asfound.springs.wire import MATERIALS, Material, find_material, sold_sizes, tensile_strength

__all__ = [
    "Arrow",
    "CONSTANTS",
    "Chance",
    "Choice",
    "Cleaning",
    "CompressionResult",
    "Demands",
    "Design",
    "DrawerFit",
    "ExtensionResult",
    "Finding",
    "Grid",
    "Holding",
    "LeafResult",
    "LeverTry",
    "Limits",
    "LinkagePicture",
    "LoadedTorsion",
    "MATERIALS",
    "Mandrel",
    "Material",
    "MeasuredSpring",
    "Need",
    "Outline",
    "Proposal",
    "Reformed",
    "Remedy",
    "Sleeved",
    "SpiralResult",
    "SpringInPlace",
    "StockSpring",
    "Strut",
    "Tolerances",
    "TorqueCurve",
    "TorqueSplit",
    "TorsionConstant",
    "TorsionSpring",
    "TwinComparison",
    "WindingSheet",
    "bellows_force",
    "bend_leaf",
    "bending_limits",
    "chance_that_it_will_do",
    "choose",
    "compare_cleaning",
    "compare_with_dimensions",
    "compare_with_twin",
    "compress",
    "design_curve",
    "dimension_problems",
    "extend",
    "find_material",
    "fit_problems",
    "judge_hold",
    "least_reforming",
    "least_sleeve",
    "linkage_picture",
    "load_torsion",
    "look_through",
    "measure_spring",
    "per_strut",
    "propose",
    "propose_for_lost",
    "rank_remedies",
    "rate_of",
    "read_drawer",
    "reform",
    "search",
    "sleeved",
    "sold_sizes",
    "split_torque",
    "steps",
    "tensile_strength",
    "told_by_magnet_and_colour",
    "torque_at_give_way",
    "torque_curve",
    "torque_needed",
    "torque_to_keep",
    "usual_tolerances",
    "wind_spiral",
    "winding_sheet",
    "wire_choices",
]
