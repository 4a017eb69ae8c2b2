// Package draw is the drawing of a rig as shapes, computed from the spatial model and to scale: one
// unit of a scene is one millimetre of the vehicle, and a file states the scale of its page.
//
// [New] makes the [Scene] of a rig: its views and a fixed list of shapes, each with a fixed run
// of numbers. [Scene.Fill] writes the numbers of a pose; it allocates nothing, so that a moving
// drawing is numbers put into nodes that stay. [SVG] writes a whole file from the same shapes and
// numbers.
//
// # Views
//
// The vehicle frame is that of ISO 8855: X forward, Y left, Z up. On the screen u runs
// to the right and v downwards.
//
//	Above    u = -Y, v = -X   from above: forward is up, left is left
//	Behind   u = -Y, v = -Z   from behind, looking forward: left is left
//	Side     u = -X, v = -Z   from the left: forward is to the left
//	Turn     u = -Y, v = -X   the whole vehicle from above, with its turn
//
// All are parallel projections, so that lengths square to the line of sight are true.
//
// # Shapes
//
// A shape is one SVG element with a class, and lists of [Fragment] that make its attributes of the
// numbers. A shape whose first number is NaN is not there now. What a shape is shows by its class,
// line and label; its colour is the reader's style, and never the only sign.
//
// Angle marks lie in the plane of the two directions, seen as that view sees it; the figure beside
// them is the angle in space. A mark is left out of a view that looks along its plane. The servo's
// body and the wheels of the other axle are not measured: they are drawn in the usual size, dashed,
// class unmeasured.
//
// Axes, signs and units are those of docs/conventions.md.
package draw
