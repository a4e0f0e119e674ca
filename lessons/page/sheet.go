package page

import "github.com/before-iron/beforeiron/sim/review"

func inspection(v *review.Review) *sheet { return nil }
func (r *Report) other() *other          { return nil }
