"""The words this program uses at the stove, each in a sentence or two; the help pages end with them."""

from __future__ import annotations

GLOSSARY: tuple[tuple[str, str], ...] = (
    ("blend", "Several waxes melted together, each with its share of the weight."),
    ("ceiling", "The highest temperature that a wax or a mould may have. The pot's alarm goes by it."),
    ("congealing point", "Where molten wax stops flowing as it cools: an edge sets, a skin begins."),
    ("cure", "The days a candle rests before it is burnt or given away."),
    (
        "edge set, carries, cold",
        "How a layer looks: set at the wall only; carries the next colour; too cold for it to take.",
    ),
    (
        "join",
        "Where two layers meet. It holds where both melt a little; it is weak where the lower one was too cold.",
    ),
    ("jug", "The wax of one colour, drawn from the pot, with its dye and scent, kept hot in the bath."),
    ("plug", "A first small pour that sets over the wick hole and seals it before the mould is full."),
    ("pulled away", "The layer has shrunk from the wall. What is poured then runs down behind it."),
    (
        "reclaimed wax",
        "Wax of old candles and ends: where it sets is not known until a jug of it has been read while it cools.",
    ),
    (
        "relief holes",
        "Holes through the crust beside the wick, so that air gets in behind wax that still shrinks.",
    ),
    (
        "set",
        "No longer liquid. A set candle weighs less than the same room of hot wax: wax shrinks as it sets.",
    ),
    ("shade", "A drop of the jug's wax, set on white paper: the colour the candle will have."),
    ("swatch", "The colour a layer is drawn in here. A screen cannot match set wax."),
    ("top-up", "Wax of the same melt that fills the well which shrinking leaves."),
    ("well", "The hollow that wax leaves in the middle as it sets and shrinks."),
    ("window", "From when a layer carries the next colour until it is too cold to take it."),
)
"""(word, what it means), by the alphabet."""
