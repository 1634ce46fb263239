"""From a unit's series to its one number: which days count, on which scale, by which summary."""
