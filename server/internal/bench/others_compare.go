//go:build compare

package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"strings"

	"github.com/jackc/pgx/v5/pgxpool"
	_ "modernc.org/sqlite" // the driver "sqlite"
)

// carriesOthers reports whether this build carries other databases.
const carriesOthers = true

func openOthers(ctx context.Context, opt Options, dir string) (list []*other, err error) {
	if opt.SQLite {
		o, err := openSQLite(ctx, filepath.Join(dir, "bench.sqlite"))
		if err != nil {
			return list, fmt.Errorf("SQLite: %w", err)
		}
		list = append(list, o)
	}
	if opt.Postgres != "" {
		o, err := openPostgres(ctx, opt.Postgres)
		if err != nil {
			return list, fmt.Errorf("PostgreSQL: %w", err)
		}
		list = append(list, o)
	}
	return list, nil
}

// openSQLite opens an empty file with a write-ahead log that is flushed with
// every commit. SQLite takes one writer at a time, so there is one connection:
// more would wait for each other's locks.
func openSQLite(ctx context.Context, file string) (*other, error) {
	db, err := sql.Open("sqlite", "file:"+file+"?_pragma=journal_mode(wal)&_pragma=synchronous(full)")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	if _, err := db.ExecContext(ctx, "create table log (k blob primary key, v blob) without rowid"); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	insert, err := db.PrepareContext(ctx, "insert or replace into log values (?, ?)")
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	put := func(ctx context.Context, k, v []byte) error { _, err := insert.ExecContext(ctx, k, v); return err }
	return &other{name: "SQLite, WAL, FULL", least: 1.5, put: put, close: db.Close}, nil
}

// openPostgres makes a table of its own in a database on this machine and drops
// it at the end. PostgreSQL gathers commits of its connections by itself.
func openPostgres(ctx context.Context, url string) (*other, error) {
	conf, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	if ip := net.ParseIP(conf.ConnConfig.Host); !strings.HasPrefix(conf.ConnConfig.Host, "/") && conf.ConnConfig.Host != "localhost" && !ip.IsLoopback() {
		return nil, fmt.Errorf("host %q: want a server on this machine", conf.ConnConfig.Host)
	}
	conf.MaxConns = connections
	pool, err := pgxpool.NewWithConfig(ctx, conf)
	if err != nil {
		return nil, err
	}
	if _, err := pool.Exec(ctx, "drop table if exists nightkeep_bench; create table nightkeep_bench (k bytea primary key, v bytea)"); err != nil {
		pool.Close()
		return nil, err
	}
	return &other{
		name: "PostgreSQL", least: 0.8,
		put: func(ctx context.Context, k, v []byte) error {
			_, err := pool.Exec(ctx, "insert into nightkeep_bench values ($1, $2) on conflict (k) do update set v = excluded.v", k, v)
			return err
		},
		close: func() error {
			defer pool.Close()
			_, err := pool.Exec(context.Background(), "drop table nightkeep_bench")
			return err
		},
	}, nil
}
