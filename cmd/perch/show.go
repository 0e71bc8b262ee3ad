package main

type showCmd struct {
	design
	Part string `help:"A blank, to show its flat and bend table." placeholder:"NAME"`
}

func (c *showCmd) Run(s *session) error { return nil }
