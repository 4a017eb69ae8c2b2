// Package radio maps the stick of a transmitter to the angle of the steering
// servo, and finds the settings that reach a wanted servo angle.
//
// Start with [Calibrate], which turns bench readings into servo radians per unit
// of each setting. [NewModel] joins a calibration with the settings; its Angle
// is the map. [Calibration.SubtrimFor], [Calibration.EndpointFor], [FitExpo] and
// [FitCurve] go the other way. [Spline] says where a horn can sit.
//
// The package knows nothing of linkages. Where the wheels matter, the caller
// hands in a function of the servo angle.
//
// # Conventions
//
// The stick runs from -1, full right, to +1, full left. Left and right are the
// driver's.
//
// A servo angle is in radians, counted from where the servo stands at the
// neutral pulse (centre stick, trim and subtrim zero), positive counter-clockwise
// when one looks at the horn's face. Neutral is 1500 µs, 1520 µs or another
// value: an input, never a constant of the map.
//
// A setting is the number on the transmitter's screen: percent, µs of pulse from
// neutral, or steps. A percent on one transmitter is not a percent on another, so
// that it means nothing until it is calibrated. A positive subtrim or trim is the way that the readings call
// positive. With the endpoint's scale assumed, that is the way of left stick.
//
// An uncertainty is a 95 % half-width (coverage factor 2), as in
// [evenlock/rig.Quantity].
//
// # Order of the stages
//
// With x the stick:
//
//  1. expo e = Expo/100: y = (1-e)·x + e·x³, held within ±1. Positive e softens
//     the middle, negative sharpens it. Common practice, and transmitters differ.
//     Below -50 % the formula reaches the end before full stick and is held there.
//  2. curve: y is replaced by straight lines between evenly spaced points, from
//     full right to full left.
//  3. rate: y·Rate/100.
//  4. endpoints: y·EndpointLeft for y > 0, y·EndpointRight for y < 0, times the
//     calibrated radians per endpoint unit, gives an angle a.
//  5. trim. Centre only: with a0 and a1 the angle at centre and at full stick on
//     the side of x, and t the trim's angle, a becomes
//     a0 + t + (a-a0)·(a1-a0-t)/(a1-a0), so that the centre moves by t, the ends
//     stay, and what lies between keeps its shape. Whole range: a + t.
//  6. subtrim: a + subtrim·(radians per subtrim step). Ends and centre move alike.
//  7. reverse: a becomes -a, if the channel is reversed now and was not when the
//     readings were taken, or the other way round.
//  8. held within the greatest endpoint either way from neutral, if it is known.
//  9. the servo: of one that turns further one way than the other, a becomes a·(that
//     way's slope over the mean of both).
//  10. held within the servo's own travel, if it is known.
//
// That centre-only trim keeps the shape between, that reverse turns subtrim and
// trim with the stick, and that the greatest endpoint bounds the sum of endpoint,
// trim and subtrim, are common practice, and transmitters differ. Each can be
// seen at the bench with the horn off.
//
// Axes, signs and units are those of docs/conventions.md.
package radio
