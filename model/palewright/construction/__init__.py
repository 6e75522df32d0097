"""Every board in its place: what a box is before anybody judges it.

How lumber that varies is modelled. Cut sizes come from the parameters alone and are the same for
every lumber case; thickness is what varies, and boards find their places as on the bench. The plane
where a panel's frame meets its staves is the datum: screws pull boards together there, so the
frame's outer face and the staves' inner face are what varies. A side panel is held flush with the
outer stiles' edges by its thickest frame board; the back panel's place follows from the length of
the side panels. ``lumber.thickness_rule`` draws the mixed pile by board name, so that one more
board changes no other.

The lip is two thickest boards and the play: a side panel is frame and stave thick. Its staves run
to its edges but for the play. One clearance in each corner is enough, since the two walls' staves
meet only where both lip and setback are too short (``Seat.clearance``); the lip was kept and the
setback given up, because then a side panel is a plain rectangle, its staves lap the stile by a
whole board more (that is where its screws go) and no void stays in the corner. The play is left so
that the stile, which is seen, closes first. A lip that is set shallower gets its setback by itself
(``derived_sizes._setback``). The side stile is narrower than the front stile by the board that is
seen beside it, so that both look equal round the corner.

``wall.stile_lap`` says lip and setback from the other side: how far the outermost staves run over
the stiles. The lip then seats nothing, and the side panels are set flush with the stiles' edges.
``Sizes.stave_ends`` and ``PanelPlan`` say where staves end: foot and top are the rails'. Posts,
packers, cleats and liner keep to the staves.

A brace's ends are cut parallel to the stiles. Its angle off the rail solves
``W tan θ + b / cos θ = H`` (``brace_angle``, in closed form). The halves of a crossing pair are cut
θ at the stile and ``|90° - 2θ|`` at the long brace.

Screws are placed so that the box holds (``panel_ties``: the usual places, then ends, then whatever
keeps the panel apart), and ``divide_wall`` moves a seam that falls beside a stile's edge, where no
stave could tie stile and rail. ``outdoor_wood`` imports no box, so that one gap serves every size
and lumber case.
"""
