"""Names of array types, once for the whole package.

Shapes and units stand in the docstring of each function.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Float32Array = NDArray[np.float32]
IntArray = NDArray[np.int64]
Int32Array = NDArray[np.int32]
SmallArray = NDArray[np.int16]
BoolArray = NDArray[np.bool_]
AnyArray = NDArray[Any]
