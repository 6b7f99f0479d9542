// Owners for SQLite's handles. Knows nothing of asbestos.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "kb/error.h"

struct sqlite3;
struct sqlite3_stmt;

namespace kb {

// The disk under a database is full or failed; the message is SQLite's own, without advice.
class DiskError : public Error {
 public:
  using Error::Error;
};

// One compiled SQL statement, finalized by the destructor.
// Parameters count from 1 and columns from 0, as in SQLite.
class Statement {
 public:
  Statement(sqlite3* db, std::string_view sql);     // Throws kb::Error that quotes the SQL.
  void bind(int parameter, std::string_view text);  // Copies, so a temporary is safe.
  void bind_in_place(int parameter, std::string_view text);  // No copy: must live until the next reset.
  void bind(int parameter, std::int64_t value);
  void bind_zeros(int parameter, std::size_t bytes);  // A blob of zeros, for write_blob() to fill.
  bool step();                                      // True: a row is ready. False: no more.
  void reset();                                     // Ready to be bound and stepped again.
  std::string text(int column) const;               // A copy, of a blob too; empty for NULL.
  std::string_view bytes(int column) const;         // The same without a copy, until the next step or reset.
  std::int64_t integer(int column) const;           // 0 for NULL.
  double real(int column) const;
  bool is_null(int column) const;

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* s) const noexcept;
  };
  sqlite3* db_;  // Borrowed: the connection outlives its statements.
  std::unique_ptr<sqlite3_stmt, Finalize> stmt_;
};

// One connection.
class Connection {
 public:
  // A database image read in place and never written: `image` must outlive the connection.
  // Opened with defensive settings, no trusted schema, no triggers, no views and lowered limits.
  // Throws kb::Error when SQLite cannot read it.
  static Connection over_image(const unsigned char* image, std::size_t size);
  // A new database in the empty file `path`, for writing. It keeps no journal and syncs nothing: after a
  // failure the file is worth nothing. Throws kb::Error, a DiskError where the disk is at fault.
  static Connection to_file(const std::string& path);
  // A file that nobody else writes to, read where it lies. Throws kb::Error when SQLite cannot open it.
  static Connection from_file(const std::string& path);

  sqlite3* handle() const { return db_.get(); }
  // Writes `bytes` over the blob of the same length in `column` of the row `row`, without a copy of all.
  void write_blob(const char* table, const char* column, std::int64_t row, std::string_view bytes) const;
  // Runs SQL without parameters or rows; throws kb::Error with SQLite's message, a DiskError where the
  // disk is at fault.
  void run(const std::string& sql) const;

 private:
  struct Close {
    void operator()(sqlite3* db) const noexcept;
  };
  explicit Connection(sqlite3* db) : db_(db) {}
  static Connection open(const std::string& path, int flags);
  std::unique_ptr<sqlite3, Close> db_;
};

}  // namespace kb
