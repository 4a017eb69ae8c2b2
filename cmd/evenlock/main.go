// Command evenlock takes a measured rig and says how it steers and what to set.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
)

func main() { os.Exit(run()) }

func run() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := root().ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	fmt.Fprintln(os.Stderr, explain(err))
	return exitCode(err)
}
