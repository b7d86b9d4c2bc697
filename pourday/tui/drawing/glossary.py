"""The words this program uses at the stove, each in a sentence or two; the help pages end with them."""

from __future__ import annotations

from pourday.language import tr

GLOSSARY: tuple[tuple[str, str], ...] = (
    (tr("blend"), tr("Several waxes melted together, each with its share of the weight.")),
    (
        tr("ceiling"),
        tr("The highest temperature that a wax or a mould may have. The pot's alarm goes by it."),
    ),
    (tr("congealing point"), tr("Where molten wax stops flowing as it cools: an edge sets, a skin begins.")),
    (tr("cure"), tr("The days a candle rests before it is burnt or given away.")),
    (
        tr("edge set, carries, cold"),
        tr("How a layer looks: set at the wall only; carries the next colour; too cold for it to take."),
    ),
    (
        tr("join"),
        tr(
            "Where two layers meet. It holds where both melt a little; it is weak where the lower one was too cold."
        ),
    ),
    (
        tr("jug"),
        tr("The wax of one colour, drawn from the pot, with its dye and scent, kept hot in the bath."),
    ),
    (
        tr("plug"),
        tr("A first small pour that sets over the wick hole and seals it before the mould is full."),
    ),
    (tr("pulled away"), tr("The layer has shrunk from the wall. What is poured then runs down behind it.")),
    (
        tr("reclaimed wax"),
        tr(
            "Wax of old candles and ends: where it sets is not known until a jug of it has been read while it cools."
        ),
    ),
    (
        tr("relief holes"),
        tr("Holes through the crust beside the wick, so that air gets in behind wax that still shrinks."),
    ),
    (
        tr("set"),
        tr(
            "No longer liquid. A set candle weighs less than the same room of hot wax: wax shrinks as it sets."
        ),
    ),
    (tr("shade"), tr("A drop of the jug's wax, set on white paper: the colour the candle will have.")),
    (tr("swatch"), tr("The colour a layer is drawn in here. A screen cannot match set wax.")),
    (tr("top-up"), tr("Wax of the same melt that fills the well which shrinking leaves.")),
    (
        tr("until"),
        tr(
            "In the agenda: when a window closes. Two times with ~ before them say between when and when it probably opens."
        ),
    ),
    (tr("well"), tr("The hollow that wax leaves in the middle as it sets and shrinks.")),
    (tr("window"), tr("From when a layer carries the next colour until it is too cold to take it.")),
)
"""(word, what it means), by the alphabet."""
