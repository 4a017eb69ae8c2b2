package setup

import "errors"

// Again works the plan out anew from its models as they are, but for the horn and the subtrim.
func (p *Plan) Again() error {
	p.Rods, p.Notes, p.Ends = nil, nil, [2]End{}
	return errors.Join(p.adjustRods(), p.setEnds(), p.compare(), p.shape(), p.seeTrim())
}
