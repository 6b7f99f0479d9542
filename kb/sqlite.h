// Owners for SQLite's handles. Knows nothing of asbestos.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace kb {

// One compiled SQL statement, finalized by the destructor.
// Parameters count from 1 and columns from 0, as in SQLite.
class Statement {
 public:
  Statement(sqlite3* db, std::string_view sql);     // Throws kb::Error that quotes the SQL.
  void bind(int parameter, std::string_view text);  // Copies, so a temporary is safe.
  void bind(int parameter, std::int64_t value);
  void bind_blob(int parameter, std::string_view bytes);
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
  // A new empty database in memory, for writing.
  static Connection in_memory();

  sqlite3* handle() const { return db_.get(); }
  // The whole database as bytes, an open transaction's changes included. Throws kb::Error when there
  // is not enough memory.
  std::string image() const;
  // Runs SQL without parameters or rows; throws kb::Error with SQLite's message.
  void run(const std::string& sql) const;

 private:
  struct Close {
    void operator()(sqlite3* db) const noexcept;
  };
  explicit Connection(sqlite3* db) : db_(db) {}
  std::unique_ptr<sqlite3, Close> db_;
};

}  // namespace kb
