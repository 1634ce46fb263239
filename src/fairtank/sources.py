"""The bibliography: one key per source, cited from code, tests, reports and pages."""

from dataclasses import dataclass

from fairtank.errors import InputError


@dataclass(frozen=True)
class Source:
    """One published source. `from_memory` marks a value recalled, not read, when the code was written."""

    key: str
    reference: str
    from_memory: bool = False


_SOURCES = (
    Source(
        "arithmetic",
        "Arithmetic from definitions; no outside source is needed.",
    ),
    Source(
        "cie15",
        "CIE 15:2004. Colorimetry, 3rd ed. (CIE 1976 L*a*b* colour space, D65, 2 degree observer).",
    ),
    Source(
        "cochran1977",
        "Cochran, W. G. (1977). Sampling Techniques, 3rd ed. Wiley, New York. Chapter 5, stratified random sampling.",
        from_memory=True,
    ),
    Source(
        "common_practice",
        "Common practice of the trade, no source.",
    ),
    Source(
        "daubenmire1959",
        "Daubenmire, R. (1959). A canopy-coverage method of vegetational analysis. Northwest Science 33:43-64.",
    ),
    Source(
        "dempster1977",
        "Dempster, A. P., Laird, N. M. & Rubin, D. B. (1977). Maximum likelihood from incomplete data via the EM "
        "algorithm. J. Royal Statistical Society B 39:1-38.",
        from_memory=True,
    ),
    Source(
        "dobson1983",
        "Dobson, A. J. (1983). An Introduction to Statistical Modelling. Chapman and Hall, London. Plant weights of a "
        "control and two treatments; distributed with R as PlantGrowth.",
    ),
    Source(
        "edgington2007",
        "Edgington, E. S. & Onghena, P. (2007). Randomization Tests, 4th ed. Chapman & Hall/CRC.",
        from_memory=True,
    ),
    Source(
        "en572",
        "EN 572-1. Glass in building - Basic soda-lime silicate glass products - Part 1: Definitions and general physical"
        " and mechanical properties. Density of glass.",
        from_memory=True,
    ),
    Source(
        "fisher1935",
        "Fisher, R. A. (1935). The Design of Experiments. Oliver & Boyd, Edinburgh.",
        from_memory=True,
    ),
    Source(
        "gum2008",
        "JCGM 100:2008. Evaluation of measurement data - Guide to the expression of uncertainty in measurement.",
        from_memory=True,
    ),
    Source(
        "holm1979",
        "Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics "
        "6:65-70.",
        from_memory=True,
    ),
    Source(
        "iapws95",
        "Wagner, W. & Pruss, A. (2002). The IAPWS formulation 1995 for the thermodynamic properties of ordinary water "
        "substance. J. Phys. Chem. Ref. Data 31:387-535. Density of water, 997.05 kg/m3 at 25 °C.",
        from_memory=True,
    ),
    Source(
        "iec61966",
        "IEC 61966-2-1 (1999). Multimedia systems and equipment - Colour measurement and management - Part 2-1: Default "
        "RGB colour space - sRGB.",
    ),
    Source(
        "iso14289",
        "ISO 14289-1:2014. Document management applications - Electronic document file format enhancement for "
        "accessibility - Part 1: Use of ISO 32000-1 (PDF/UA-1).",
        from_memory=True,
    ),
    Source(
        "lowe2004",
        "Lowe, D. G. (2004). Distinctive image features from scale-invariant keypoints. Int. J. Computer Vision "
        "60:91-110.",
        from_memory=True,
    ),
    Source(
        "matthews1990",
        "Matthews, J. N. S., Altman, D. G., Campbell, M. J. & Royston, P. (1990). Analysis of serial measurements in "
        "medical research. BMJ 300:230-235.",
        from_memory=True,
    ),
    Source(
        "newcombe1998",
        "Newcombe, R. G. (1998). Interval estimation for the difference between independent proportions: comparison of "
        "eleven methods. Statistics in Medicine 17:873-890.",
        from_memory=True,
    ),
    Source(
        "newcombe1998single",
        "Newcombe, R. G. (1998). Two-sided confidence intervals for the single proportion: comparison of seven methods. "
        "Statistics in Medicine 17:857-872.",
        from_memory=True,
    ),
    Source(
        "okabe2008",
        "Okabe, M. & Ito, K. (2008). Color Universal Design: how to make figures and presentations that are friendly to "
        "colorblind people.",
        from_memory=True,
    ),
    Source(
        "olofsson2014",
        "Olofsson, P., Foody, G. M., Herold, M., Stehman, S. V., Woodcock, C. E. & Wulder, M. A. (2014). Good practices "
        "for estimating area and assessing accuracy of land change. Remote Sensing of Environment 148:42-57.",
    ),
    Source(
        "porosity_lesson",
        "Relationship between Porosity and Density of Soil. soilmanagementindia.com/soil/relationship-between-porosity-"
        "and-density-of-soil/1718. Worked example: bulk density 1.5, particle density 2.65.",
    ),
    Source(
        "rfc4180",
        "Shafranovich, Y. (2005). RFC 4180: Common Format and MIME Type for Comma-Separated Values (CSV) Files. IETF.",
    ),
    Source(
        "rfc8259",
        "Bray, T. (2017). The JavaScript Object Notation (JSON) data interchange format. RFC 8259.",
        from_memory=True,
    ),
    Source(
        "rublee2011",
        "Rublee, E., Rabaud, V., Konolige, K. & Bradski, G. (2011). ORB: an efficient alternative to SIFT or SURF. ICCV "
        "2011.",
        from_memory=True,
    ),
    Source(
        "saerens2002",
        "Saerens, M., Latinne, P. & Decaestecker, C. (2002). Adjusting the outputs of a classifier to new a priori "
        "probabilities: a simple procedure. Neural Computation 14:21-41.",
        from_memory=True,
    ),
    Source(
        "satterthwaite1946",
        "Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics "
        "Bulletin 2:110-114.",
        from_memory=True,
    ),
    Source(
        "sharma2005",
        "Sharma, G., Wu, W. & Dalal, E. N. (2005). The CIEDE2000 color-difference formula: implementation notes, "
        "supplementary test data, and mathematical observations. Color Research & Application 30:21-30.",
    ),
    Source(
        "student1908",
        "Student (1908). The probable error of a mean. Biometrika 6:1-25. Extra hours of sleep of ten people; distributed"
        " with R as sleep.",
    ),
    Source(
        "wcag22",
        "W3C (2023). Web Content Accessibility Guidelines (WCAG) 2.2. W3C Recommendation, 5 October 2023.",
        from_memory=True,
    ),
    Source(
        "welch1947",
        "Welch, B. L. (1947). The generalization of Student's problem when several different population variances are "
        "involved. Biometrika 34:28-35.",
        from_memory=True,
    ),
    Source(
        "wilson1927",
        "Wilson, E. B. (1927). Probable inference, the law of succession, and statistical inference. J. Am. Stat. Assoc. "
        "22:209-212.",
        from_memory=True,
    ),
    Source(
        "woebbecke1995",
        "Woebbecke, D. M., Meyer, G. E., Von Bargen, K. & Mortensen, D. A. (1995). Color indices for weed identification "
        "under various soil, residue, and lighting conditions. Transactions of the ASAE 38:259-269.",
    ),
    Source(
        "zou2008",
        "Zou, G. Y. & Donner, A. (2008). Construction of confidence limits about effect measures: a general approach. "
        "Statistics in Medicine 27:1693-1702.",
        from_memory=True,
    ),
)

SOURCES = {source.key: source for source in _SOURCES}


def source(key: str) -> Source:
    """The source behind a key; refuses a key that is not in the bibliography.

    >>> source("sharma2005").reference.startswith("Sharma")
    True
    """
    if key not in SOURCES:
        raise InputError("source key", key, "a key of sources.py")
    return SOURCES[key]
