// Package linkage is the kernel: spatial linkages of bodies, balls and rods,
// their poses and their exact derivatives. It knows nothing of vehicles.
//
// # Model
//
// A body has one coordinate: it turns about an axis or slides along a line. The
// axis or line is fixed to the ground, carried by another body, or, for a turning
// body, runs through two balls of other bodies. A free body is a chain of three
// slides and three turns. A ball is a point of a body, an arrow a direction in
// one. A rod keeps two balls a distance apart. Nothing else constrains.
//
// Everything is stated once, at the zero pose, in one world frame of right-handed
// axes. A coordinate is the turn in radians, counter-clockwise seen against the
// axis, or the slide in millimetres, from that pose.
//
// With r the rods' errors of length, q the coordinates and p the dimensions, a
// pose solves r(q, p) = 0, and
//
//	dq/dp = -(∂r/∂q)⁻¹ ∂r/∂p
//
// is what [Linkage.Tangent] returns, along any direction of inputs and dimensions.
//
// # Use
//
// Describe the linkage with a [Builder], then [Builder.Build]. Solve poses into
// memory that the caller owns: [Linkage.NewPose], [Linkage.Solve]. Solving
// and differentiating allocate nothing.
//
// # Method and accuracy
//
// Build splits the unknowns into the smallest blocks that can be solved one after
// another. A block of one body and one rod has the closed form
// A cos θ + B sin θ = C, or a quadratic for a slide; larger blocks go to Newton's
// method with exact derivatives from the neighbouring pose, in steps that are
// halved where it does not converge. Positions are good to about 1e-12 of the
// linkage's size, less near a dead point, where the error grows as the inverse of
// [Linkage.Leverage].
//
// Where all bodies turn about axes of the ground, and each is driven or held by one rod to one
// before it, Build plans a chain instead: the same closed form again and again, without a place in
// space. It gives what the general way gives, to rounding.
//
// The branch is the sign of the block's determinant ∂r/∂q at the pose in which
// the linkage was described. It never changes: a pose that would need it to, or
// that does not close, is a [LimitError].
//
// Not modelled: elasticity, play, friction, contact.
//
// Axes, signs and units are those of docs/conventions.md.
package linkage
