package sqlite_test

import (
	"testing"

	"evenlock/store"
	"evenlock/store/sqlite"
	"evenlock/store/storetest"
)

func TestStoreKeepsItsPromises(t *testing.T) {
	storetest.Run(t, func(t *testing.T) func() store.Store {
		dir := t.TempDir()
		return func() store.Store {
			s, err := sqlite.Open(t.Context(), dir)
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
	})
}
