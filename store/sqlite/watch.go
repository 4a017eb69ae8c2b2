package sqlite

import (
	"context"
	"time"

	"evenlock/store"
)

// glance is how often a watcher looks for changes made by other programs. Its
// own program's it hears of at once.
const glance = 250 * time.Millisecond

type logLine struct {
	seq int64
	store.Change
}

func scanLogLine(row scanner) (l logLine, err error) {
	return l, row.Scan(&l.seq, &l.What, &l.Rig, &l.Revision)
}

// Watch implements [store.Store].
func (s *Store) Watch(ctx context.Context) (<-chan store.Change, error) {
	var seen int64
	if err := s.db.QueryRowContext(ctx, `SELECT coalesce(max(seq), 0) FROM change`).Scan(&seen); err != nil {
		return nil, explain(err)
	}
	changes := make(chan store.Change)
	go func() {
		defer close(changes)
		timer := time.NewTicker(glance)
		defer timer.Stop()
		for {
			stirred := s.stir()
			lines, err := rows(ctx, s.db, scanLogLine, `SELECT seq, what, rig, revision FROM change WHERE seq > ? ORDER BY seq`, seen)
			if err != nil && !isBusy(err) {
				return
			}
			for _, l := range lines {
				select {
				case changes <- l.Change:
					seen = l.seq
				case <-ctx.Done():
					return
				}
			}
			select {
			case <-stirred:
			case <-timer.C:
			case <-ctx.Done():
				return
			}
		}
	}()
	return changes, nil
}

// stir returns a channel that closes at this Store's next change.
func (s *Store) stir() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.stirred
}
