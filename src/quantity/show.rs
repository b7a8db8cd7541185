//! Quantities as people read them: the one place that formats numbers with units.
