"""Short names for arrays of numbers."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Marks = NDArray[np.bool_]
