package engine

import (
	"errors"

	"holdbook/internal/sheet"
)

// book is a sheet in memory. The page keeps what it says in the browser.
type book struct {
	text  []byte
	name  string
	sheet *sheet.Sheet
}

func openBook(text, name string) (*book, error) {
	s, err := sheet.Parse([]byte(text), name)
	if err != nil {
		return nil, err
	}
	return &book{[]byte(text), name, s}, nil
}

// Sheet implements walk.Book.
func (b *book) Sheet() *sheet.Sheet { return b.sheet }

// Edit implements walk.Book.
func (b *book) Edit(change func(old []byte) []byte) error {
	text := change(b.text)
	s, err := sheet.Parse(text, b.name)
	if err != nil {
		return err
	}
	b.text, b.sheet = text, s
	return nil
}

// Reload implements walk.Book: nobody else writes to it.
func (b *book) Reload() error { return nil }

// Missing implements walk.Book.
func (b *book) Missing() (int, error) { return 0, nil }

// Keep implements walk.Book.
func (b *book) Keep() (string, error) { return "", errors.ErrUnsupported }
