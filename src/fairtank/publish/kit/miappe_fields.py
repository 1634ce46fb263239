"""The fields of MIAPPE 1.2 by section and codename, in the order of its checklist, and why some cannot be filled for tanks.

Codenames are identifiers of the standard. What each field means is said there; here stands only what a trial of tanks has for it.
"""

VERSION = "1.2"
# Section, then codenames; a star marks those that every dataset must have.
FIELDS: dict[str, tuple[str, ...]] = {
    "INVESTIGATION": ("investigationId", "investigationTitle*", "investigationDescription", "submissionDate", "publicReleaseDate",
                      "license",
                      "miappeVersion*", "associatedPublication"),
    "STUDY": ("studyId", "studyTitle*", "studyDescription", "studyStartDate*", "studyEndDate", "contactInst*", "locationCountry*",
              "siteName*", "locationLatitude", "locationLongitude", "locationAltitude", "expeDesignDesc*", "expeDesignType",
              "obsUnitLevelHierarchy", "obsUnitDesc*", "growthFacilityDesc*", "growthFacilityType", "culturalPractice", "expeDesignMap"),
    "PERSON": ("personName*", "personEmail", "personId", "personRole*", "personAffiliation*"),
    "DATA FILE": ("dataFileLink*", "dataFileDesc*", "dataFileVersion"),
    "BIOLOGICAL MATERIAL": (
        "biologicalMaterialId*", "biologicalMaterialExtId", "organism*", "genus", "species", "infraspecificName",
        "biologicalMaterialLatitude", "biologicalMaterialLongitude", "biologicalMaterialAltitude", "biologicalMaterialCoordUncertainty",
        "biologicalMaterialPreprocessing", "materialSourceId", "materialSourceDoi", "materialSourceAccNumber", "materialSourceAccName",
        "materialSourceInstCode", "materialSourceInstName", "materialSourceOtherIds", "materialSourceLatitude", "materialSourceLongitude",
        "materialSourceAltitude", "materialSourceCoordUncertainty", "materialSourceDesc"),
    "ENVIRONMENT": ("envParam*", "envParamValue*"),
    "EXPERIMENTAL FACTOR": ("expeFactorType*", "expeFactorDesc", "expeFactorValues*"),
    "EVENT": ("eventType*", "eventAccNumber", "eventDesc", "eventDate*"),
    "OBSERVATION UNIT": ("obsUnitId*", "obsUnitType*", "externalId", "spatialDistribution", "obsUnitFactorValue"),
    "SAMPLE": ("sampleId*", "developmentStage", "anatomicalEntity*", "sampleDesc", "collectionDate*", "externalId"),
    "OBSERVED VARIABLE": (
        "variableId*", "variableName", "variableAccNumber", "traitName*", "traitEntity", "traitEntityAccessionNumber",
        "traitCharacteristic", "traitCharacteristicAccessionNumber", "traitAccNumber", "methodName*", "methodAccNumber", "methodDesc",
        "methodRef", "scaleName*", "scaleAccNumber", "timeScale"),
}  # fmt: skip

_NO_TERM = "The lists of terms that it asks for were made for fields and crops; no term of them was looked up for tanks."
_HOME = "It would tell where the keeper lives."
_SHOP = "Plants of the trade come without a place of collection that a keeper could know."
_BANK = "Plants of the trade have no accession in a gene bank."
_NO_SAMPLE = "Nothing is cut off or taken away to be looked at: a photo shows the whole tank, and counts as an observation of it."
# Section and codename -> why no trial of tanks fills it.
CANNOT: dict[tuple[str, str], str] = {
    ("STUDY", "contactInst"): "A keeper at home has no institution; who it was stands under PERSON.",
    ("STUDY", "locationLatitude"): _HOME, ("STUDY", "locationLongitude"): _HOME, ("STUDY", "locationAltitude"): _HOME,
    ("STUDY", "expeDesignType"): _NO_TERM, ("STUDY", "growthFacilityType"): _NO_TERM,
    ("PERSON", "personAffiliation"): "A keeper at home belongs to no institution.",
    ("BIOLOGICAL MATERIAL", "biologicalMaterialLatitude"): _SHOP, ("BIOLOGICAL MATERIAL", "biologicalMaterialLongitude"): _SHOP,
    ("BIOLOGICAL MATERIAL", "biologicalMaterialAltitude"): _SHOP, ("BIOLOGICAL MATERIAL", "biologicalMaterialCoordUncertainty"): _SHOP,
    ("BIOLOGICAL MATERIAL", "materialSourceId"): _BANK, ("BIOLOGICAL MATERIAL", "materialSourceDoi"): _BANK,
    ("BIOLOGICAL MATERIAL", "materialSourceAccNumber"): _BANK, ("BIOLOGICAL MATERIAL", "materialSourceAccName"): _BANK,
    ("BIOLOGICAL MATERIAL", "materialSourceInstCode"): _BANK, ("BIOLOGICAL MATERIAL", "materialSourceInstName"): _BANK,
    ("BIOLOGICAL MATERIAL", "materialSourceOtherIds"): _BANK, ("BIOLOGICAL MATERIAL", "materialSourceLatitude"): _SHOP,
    ("BIOLOGICAL MATERIAL", "materialSourceLongitude"): _SHOP, ("BIOLOGICAL MATERIAL", "materialSourceAltitude"): _SHOP,
    ("BIOLOGICAL MATERIAL", "materialSourceCoordUncertainty"): _SHOP,
    ("EVENT", "eventAccNumber"): _NO_TERM,
    **{("SAMPLE", name.rstrip("*")): _NO_SAMPLE for name in FIELDS["SAMPLE"]},
    **{("OBSERVED VARIABLE", name): _NO_TERM for name in
       ("variableAccNumber", "traitEntityAccessionNumber", "traitCharacteristicAccessionNumber", "traitAccNumber", "methodAccNumber",
        "scaleAccNumber")},
}  # fmt: skip
NOTHING = "Nothing was written down."
# Fields that fairtank has no place for, with what could be done; all others that stay empty were simply not written down.
NO_PLACE: dict[tuple[str, str], str] = {
    ("INVESTIGATION", "submissionDate"): "Known only when the kit is handed to an archive.",
    ("INVESTIGATION", "publicReleaseDate"): "Known only when the kit is published.",
    ("INVESTIGATION", "associatedPublication"): "Known only when something was written about it.",
    ("STUDY", "locationCountry"): "The plan holds a place in free words, and no country of its own.",
    ("PERSON", "personEmail"): "It is not asked for.", ("PERSON", "personId"): "It is not asked for.",
    ("BIOLOGICAL MATERIAL", "organism"): "Plants are written down under the keeper's own names, not under those of botany.",
    ("BIOLOGICAL MATERIAL", "genus"): "Plants are written down under the keeper's own names, not under those of botany.",
    ("BIOLOGICAL MATERIAL", "species"): "Plants are written down under the keeper's own names, not under those of botany.",
    ("BIOLOGICAL MATERIAL", "infraspecificName"): "Plants are written down under the keeper's own names, not under those of botany.",
    ("OBSERVATION UNIT", "externalId"): "Tanks have no name outside the trial.",
}  # fmt: skip
