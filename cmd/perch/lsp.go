package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"perch/lang/editor"
)

type lspCmd struct {
	Shop string `help:"A shop file: materials, machines, sheets, rivets. Default: the built-in shop." placeholder:"FILE"`
}

// Run serves an editor on standard input and output.
func (c *lspCmd) Run(s *session) error {
	shop, err := readShop(c.Shop)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return editor.Serve(ctx, os.Stdin, s.out, editor.Options{Shop: shop, Version: version()})
}
