// Package card is the assembly: one conduction-cooled card whose two long edges
// are flanges, each held in a chassis slot by an expanding clamp. It joins the
// force chain (joint/force), the conductance of every contact face
// (joint/contact) and the heat flow (joint/network) to the temperatures of the
// edges and components.
//
// A Layout says what the joint is made of. Parameters lists the inputs of such
// a joint with their units and ranges; a Binding gives each instance of each
// input ("screw.torque" at the left edge, "face.direct.crown" at piece 3 of the
// right one) a constant or a column of random draws; New turns the binding into
// a Model, which evaluates rows of draws.
//
// Per row, with n pieces of length Lp = B/n on each edge:
//
//   - Fit. The clamp has to expand by e = slot - flange - retracted height. Below 0
//     the card does not enter; over the travel (or the height of a piece) the
//     clamp does not hold. Either at one edge is a misfit of the card.
//   - Force. Torque to axial force, less what is lost, through the wedge train. Where
//     nothing presses on a flange the card is not clamped: the pieces stand clear by
//     the slot's play, hundreds of micrometres, and no face is evaluated.
//   - Faces. Each loaded face at its own force. Under an odd piece the flange
//     presses on the lower rail over Lp + t per inner neighbour, the load spreading
//     at 45 degrees through the flange of thickness t (at most half a piece);
//     under an even piece what is left of it carries gas only.
//   - Network. Card to flange inner edge, across the flange to under the clamp, down
//     into the lower rail, or up through odd piece, ramp and even piece into the
//     upper rail; four-face clamps also from odd pieces to the side wall and
//     from the frame's rib to even pieces; rails to the cold wall.
//   - Heat. Into the middle of the card, or at a place between the edges (bar.go);
//     walls of their own temperature, which may warm along the edge (walls.go).
//
// Heat that spreads over a length while it leaves, or is gathered over it, is
// given the first term of the exact fin beyond its surface resistance: a third
// of the length's resistance (Incropera and DeWitt). So the flange across its
// width W has W/(3 k t Lp), half an inner piece along the train (Lp/2)/(3 k W H),
// and an end piece, which feeds its only ramp from its whole length,
// Lp/(3 k W H). Against the exact fin this is at most 0.3 % too well conducting for
// weak faces and resists too much for good ones (a fifth in the train at 25 000
// W/m2K), and it keeps the network monotonic: no face, body or wall that conducts
// better heats the card.
//
// What the model leaves out: heat through the screw and by radiation or
// convection off the card, bending of the card, conduction along the rails
// (each is one node), the bore for the screw in pieces and ramps, tilt of the
// pieces, and everything its parts leave out.
package card
