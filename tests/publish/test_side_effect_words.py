"""What the change brings besides itself, in words: one exact sentence for each kind, like units told together."""

from dataclasses import replace

from checking import every
from fairtank.planning.effects.side_effect import FACTORS, IONS, REMEDIES, SideEffect
from fairtank.publish.phrases import plain_text
from fairtank.publish.side_effect_words import side_effect_sentence, side_effect_text

PUMP = SideEffect("T2", "temperature", 0.612, 0.191, 1.163, "°C", "stream pump", "", "thermostat")


def effect(factor, amount, low, high, unit, remedy, cause="gadget", **more):
    return SideEffect("T2", factor, amount, low, high, unit, cause, "", remedy, **more)


@every(("one", "sentence"), [
    (PUMP,
     "In T2, “stream pump” would warm the water by 0.61 °C without a thermostat (0.19 to 1.2); keep all tanks by thermostat above what the "
     "warmest would reach by itself, and log their temperatures."),
    (effect("volume", -0.15, -0.15, -0.15, "L", "blank", remedy_amount=0.15, remedy_unit="L", share=-0.00454),
     "In T2, “gadget” takes the place of 0.15 L of water (0.45 % of its water); put a blank of the same volume into the other arm."),
    (effect("flow", 10.03, 7.3, 12.77, "1/h", "same_flow"),
     "In T2, “gadget” turns the water over 10 times an hour (7.3 to 13); give the other arm the same flow, with the same device switched "
     "off in all but its pump."),
    (effect("light", -0.117, -0.117, -0.117, "mol m⁻² d⁻¹", "same_shade", share=-0.09),
     "In T2, “gadget” takes 0.12 mol m⁻² of light a day (9 %); shade the other arm alike, or set the lamps by a meter under what shades."),
    (effect("light", -0.432, -0.5, 0.1, "mol m⁻² d⁻¹", "same_light", remedy_amount=80.0, remedy_unit="µmol m⁻² s⁻¹"),
     "In T2, “gadget” takes 0.43 mol m⁻² of light a day (−0.5 to 0.1); where light is not the change, give the same light in a day, which "
     "80 µmol m⁻² s⁻¹ at the bed would do here."),
    (effect("evaporation", -0.706, -0.861, -0.522, "L/d", "same_cover"),
     "In T2, “gadget” keeps 0.71 L of water a day from evaporating (0.52 to 0.86); cover the other arm alike."),
    (effect("bed height", 40, 20, 60, "mm", "same_top"),
     "In T2, “gadget” raises the bed by 40 mm (20 to 60); raise the lamp by as much, and set the light by a meter at the bed."),
    (effect("hydrogen", 1.88, 1.88, 1.88, "mg/h", "air"),
     "In T2, “gadget” makes 1.9 mg of hydrogen an hour; let air move over the tank, and never under a closed lid."),
    (effect("oxygen", 8.96, 4.48, 13.43, "mg/h", "check_claim"),
     "In T2, “gadget” makes 9 mg of oxygen an hour (4.5 to 13); check first whether it can be measured at all in this tank."),
    (effect("potassium", 10.375, 1.764, 11.76, "mg/L", "same_ion", remedy_material="K2SO4", remedy_amount=129.3, remedy_unit="mg"),
     "In T2, “gadget” brings 10 mg/L of potassium (1.8 from one dose, never above 12); give the other arm as much of it, which 130 mg of "
     "K2SO4 in each dose would do, with sulphate in turn."),
    (effect("sulphate", 5.0, 1.0, 6.0, "mg/L", "say"),
     "In T2, “gadget” brings 5 mg/L of sulphate (1 from one dose, never above 6); say so beside the finding: there is no plain way to even "
     "it out."),
    (effect("general hardness", 0.5, 0.1, 0.6, "dGH", "same_hardness"),
     "In T2, “gadget” raises the general hardness by 0.5 dGH (0.1 from one dose, never above 0.6); give the other arm as much hardness by "
     "its water."),
    (effect("conductivity", 38.5, 5.6, 43.6, "µS/cm", "compare_rise"),
     "In T2, “gadget” raises the conductivity by 38 µS/cm (5.6 from one dose, never above 44); a difference in conductivity of this size "
     "is the salt itself."),
])
def test_each_kind_has_its_sentence(one, sentence):
    assert plain_text(side_effect_sentence(one)) == sentence


def test_units_in_which_a_line_does_the_same_are_told_together():
    effects = (PUMP, replace(PUMP, unit="T4"), replace(PUMP, unit="T5"), replace(PUMP, unit="T6", amount=0.9))
    text = [plain_text(sentence) for sentence in side_effect_text(effects)]
    assert len(text) == 2
    assert text[0].startswith("In T2, T4 and T5, “stream pump” would warm the water by 0.61 °C")
    assert text[1].startswith("In T6, “stream pump” would warm the water by 0.9 °C")
    assert side_effect_text(()) == ()


def test_every_factor_and_remedy_can_be_said():
    for factor in (*FACTORS, *IONS.values()):
        for remedy in REMEDIES:
            for amount in (2.0, -2.0):
                sentence = side_effect_sentence(effect(factor, amount, amount, amount, "mg/L", remedy))
                assert sentence.endswith(".")
                assert "{}" not in sentence
                assert "“gadget”  " not in sentence


def test_names_that_people_wrote_are_shown_safely():
    assert "“pump\ufffd <b>”" in side_effect_sentence(effect("oxygen", 1, 1, 1, "mg/h", "air", cause="pump\x07 <b>"))
