"""Workshop cautions: each shown in the step where its hazard is, all of them on the About page.

Each says what to do, names whose guidance it follows, and when that was last read. They are the
usual cautions and no more: local law and licensed practice come first.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Caution:
    """One caution.

    Attributes:
        key: its anchor on the About page, after "caution-".
        where: the steps that it belongs to.
        text: what to do, in two or three sentences.
        source: whose guidance it follows, by title.
        checked: when the source was last looked up (ISO date).
        line: the same in one line, for a form where the rest of it is folded; "" where it is
            always shown whole.
    """

    key: str
    where: str
    text: str
    source: str
    checked: str = "2026-11-25"
    line: str = ""


_ALL = (
    Caution(
        "spring",
        "Taking a pack apart, measuring springs",
        "A pressed spring is stored energy. Wear eye protection, let it out slowly under a press "
        "or a compressor, held so that it cannot fly, and see that it is slack before you go on.",
        "Occupational Safety and Health Administration (US), 29 CFR 1910.147, paragraph (d)(5): "
        "stored energy is relieved, disconnected or restrained, and this is verified; 29 CFR "
        "1910.133: eye protection against flying parts. Written for machines in service; the rules "
        "fit a spring as well.",
        line="Springs fly: wear eye protection, let out slowly.",
    ),
    Caution(
        "retaining-ring",
        "Taking a pack apart",
        "A circlip or retaining ring can leave at speed. Use pliers that fit, hold them square, "
        "wear eye protection, cover the ring with a cloth, and let nobody stand in line with it.",
        "Occupational Safety and Health Administration (US), 29 CFR 1910.133: eye protection "
        "against flying parts. No regulator's page on retaining rings was found; the rest is "
        "common practice.",
        line="A circlip can leave at speed: wear eye protection.",
    ),
    Caution(
        "dust",
        "Taking a pack apart, cleaning and measuring facings",
        "Older friction facings may hold asbestos. Do not blow or dry-brush clutch dust: wipe it "
        "up wet and bag the rags. If you are not sure, treat it as asbestos.",
        "Health and Safety Executive (GB), guidance on asbestos in mechanical repair; Occupational "
        "Safety and Health Administration (US), 29 CFR 1910.1001, Appendix F.",
        line="Old facings may hold asbestos: wipe wet.",
    ),
    Caution(
        "dust-in-numbers",
        "A shop that does many clutches",
        "The simple wet method is meant for a shop that does no more than five clutches a week. A "
        "busier one needs an enclosure with a HEPA vacuum, or low-pressure wet cleaning. Local law "
        "differs.",
        "Occupational Safety and Health Administration (US), 29 CFR 1910.1001, Appendix F, "
        "paragraphs A, B and D.",
    ),
    Caution(
        "wrench",
        "Slip test with a wrench, tight fasteners",
        "Pull the wrench towards you with feet set and knuckles clear, and expect it to let go. No "
        "pipe on the handle, no worn or sprung jaws.",
        "Occupational Safety and Health Administration (US), publication 3080, Hand and Power "
        "Tools.",
    ),
    Caution(
        "slip-test",
        "Slip test",
        "Wear eye protection, and keep out of the plane of a torque arm. Approach the torque "
        "slowly and stop at the first slip. Stay within the wrench's range, and clamp the part so "
        "that nothing can whirl round when it lets go.",
        "Common practice with torque wrenches, no published rule; the clamping is this program's "
        "own advice.",
    ),
    Caution(
        "hot",
        "A slip test that is driven, a pack after hard use",
        "Plates and oil are hot after a run. Let the pack cool, or measure its temperature, before "
        "you take hold of it.",
        "Common practice, no published rule.",
        line="Plates and oil are hot after a run: let them cool.",
    ),
    Caution(
        "turning-parts",
        "Lathe work, a slip test that is driven",
        "Keep sleeves, gloves, rings and long hair away from anything that turns. Gloves get "
        "pulled in.",
        "WorkSafe Victoria (AU), safe use of metal turning lathes; WorkSafe Western Australia, "
        "lathe entanglement.",
    ),
    Caution(
        "chuck-key",
        "Lathe work",
        "Take the chuck key out before you reach for the switch. Secure the part, and turn it by "
        "hand to see that it clears.",
        "WorkSafe Victoria (AU), safe use of metal turning lathes: chuck keys and loose work are "
        "named among the main causes.",
    ),
    Caution(
        "emery",
        "Lathe work on hubs and plates",
        "Never hold emery cloth by hand on a part that turns in a lathe.",
        "Health and Safety Executive (GB), Engineering Information Sheet 2, revision 1; Maritime "
        "and Coastguard Agency (GB), Safety Bulletin 21 (2021).",
    ),
    Caution(
        "spindle",
        "Lathe work",
        "A spindle that was switched off keeps turning. Wait until it stands still, and do not "
        "brake it by hand.",
        "WorkSafe Western Australia, lathe entanglement.",
    ),
    Caution(
        "oil",
        "Taking a wet pack apart",
        "Keep used engine oil off your skin: it can cause dermatitis and, rarely, skin cancer. "
        "Wash soon, use no solvent on skin, carry no oily rags in pockets. Gloves only where "
        "nothing turns.",
        "Health and Safety Executive (GB), skin at work: motor vehicle repair.",
    ),
    Caution(
        "engine",
        "A pack on its engine",
        "Let engine and exhaust cool before you touch them. Never run an engine indoors: carbon "
        "monoxide cannot be smelt.",
        "WorkSafeBC (CA), tips for safe work with engines.",
    ),
)

CAUTIONS: Mapping[str, Caution] = MappingProxyType({caution.key: caution for caution in _ALL})
"""Every caution by its key, in the order of the About page."""
