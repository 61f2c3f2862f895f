"""What the owner brings and how the vehicle comes, in the words of their page."""

TO_BRING = (
    "Bring the insurance document, unless we arrange the cover.",
    "Take the roof rack and everything loose off and out of the vehicle.",
    "Leave the spare wheel, jack and toolkit in their places: they belong to the mass.",
    "Come with the tank at least nine tenths full.",
)
