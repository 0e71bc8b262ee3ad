package build

import "perch/parts/panel"

func (ev *evaluator) joins() []panel.JoinPoint { return nil }

func (ev *evaluator) assemble(parts []*part, joins []panel.JoinPoint) *panel.Assembly { return nil }
