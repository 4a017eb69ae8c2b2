package pagetest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/chromedp/chromedp"
)

func shoot(t *tab, name string) {
	dir := os.Getenv("EVENLOCK_SHOTS")
	if dir == "" {
		return
	}
	ctx, cancel := context.WithTimeout(t.ctx, 5*time.Second)
	defer cancel()
	picture, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.tb.Log(err)
		return
	}
	file := strings.ReplaceAll(t.tb.Name()+"-"+name, "/", "-") + ".png"
	if err := os.WriteFile(filepath.Join(dir, file), picture, 0o600); err != nil { //nolint:gosec // G703: the folder is the developer's own
		t.tb.Log(err)
	}
}
