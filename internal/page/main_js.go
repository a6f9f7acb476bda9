//go:build js && wasm

// Command page is the engine as the page's workers call it, compiled to WebAssembly: it
// gives the worker a function that takes a request as JSON and returns the answer. The page
// itself stands beside it in page.html, page.css and the scripts; build puts all of them
// into one file.
package main

import (
	"syscall/js"
	"time"

	"holdbook/internal/page/engine"
)

func main() {
	e := engine.New(time.Now)
	js.Global().Call("ready", js.FuncOf(func(_ js.Value, args []js.Value) any {
		return string(e.Answer([]byte(args[0].String())))
	}))
	select {}
}
