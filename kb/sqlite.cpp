#include "kb/sqlite.h"

#include <sqlite3.h>

#include <algorithm>
#include <utility>

#include "kb/error.h"

namespace kb {
namespace {

[[noreturn]] void fail(sqlite3* db, std::string_view doing) {
  const int code = sqlite3_errcode(db);
  if (code == SQLITE_FULL || code == SQLITE_IOERR) throw DiskError(sqlite3_errmsg(db));
  throw Error("database: " + std::string(sqlite3_errmsg(db)) + " (" + std::string(doing) + ")");
}

// The values of SQLite's own advice on files from strangers (sqlite.org/security.html), a little
// wider where our queries need it: a long OR query is one deep expression inside FTS5, not in SQL.
// No row of a sound file is longer than the file, however much a corpus has to compile.
void harden(sqlite3* db, std::size_t size) {
  const auto longest = static_cast<int>(std::clamp<std::size_t>(size, 4'000'000, 1'000'000'000));
  const std::pair<int, int> switches[] = {
      {SQLITE_DBCONFIG_DEFENSIVE, 1},      {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
      {SQLITE_DBCONFIG_ENABLE_TRIGGER, 0}, {SQLITE_DBCONFIG_ENABLE_VIEW, 0},
      {SQLITE_DBCONFIG_DQS_DML, 0},        {SQLITE_DBCONFIG_DQS_DDL, 0},
      {SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0}};
  for (const auto& [option, value] : switches) sqlite3_db_config(db, option, value, nullptr);
  const std::pair<int, int> limits[] = {
      {SQLITE_LIMIT_LENGTH, longest},      {SQLITE_LIMIT_SQL_LENGTH, 100'000},
      {SQLITE_LIMIT_COLUMN, 100},          {SQLITE_LIMIT_EXPR_DEPTH, 20},
      {SQLITE_LIMIT_COMPOUND_SELECT, 3},   {SQLITE_LIMIT_VDBE_OP, 25'000},
      {SQLITE_LIMIT_FUNCTION_ARG, 8},      {SQLITE_LIMIT_ATTACHED, 0},
      {SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 50}, {SQLITE_LIMIT_VARIABLE_NUMBER, 10},
      {SQLITE_LIMIT_TRIGGER_DEPTH, 10}};
  for (const auto& [limit, value] : limits) sqlite3_limit(db, limit, value);
}

}  // namespace

void Statement::Finalize::operator()(sqlite3_stmt* s) const noexcept { sqlite3_finalize(s); }

Statement::Statement(sqlite3* db, std::string_view sql) : db_(db) {
  sqlite3_stmt* raw = nullptr;
  if (sqlite3_prepare_v2(db, sql.data(), static_cast<int>(sql.size()), &raw, nullptr) != SQLITE_OK) fail(db, sql);
  stmt_.reset(raw);
}

void Statement::bind(int parameter, std::string_view text) {
  // An empty view may hold a null pointer, which SQLite would take for NULL.
  const char* data = text.data() == nullptr ? "" : text.data();
  if (sqlite3_bind_text(stmt_.get(), parameter, data, static_cast<int>(text.size()), SQLITE_TRANSIENT) != SQLITE_OK)
    fail(db_, "bind text");
}

void Statement::bind_in_place(int parameter, std::string_view text) {
  const char* data = text.data() == nullptr ? "" : text.data();
  if (sqlite3_bind_text(stmt_.get(), parameter, data, static_cast<int>(text.size()), SQLITE_STATIC) != SQLITE_OK)
    fail(db_, "bind text");
}

void Statement::bind(int parameter, std::int64_t value) {
  if (sqlite3_bind_int64(stmt_.get(), parameter, value) != SQLITE_OK) fail(db_, "bind integer");
}

void Statement::bind_zeros(int parameter, std::size_t bytes) {
  if (sqlite3_bind_zeroblob64(stmt_.get(), parameter, bytes) != SQLITE_OK) fail(db_, "bind blob");
}

bool Statement::step() {
  const int result = sqlite3_step(stmt_.get());
  if (result == SQLITE_ROW) return true;
  if (result == SQLITE_DONE) return false;
  fail(db_, sqlite3_sql(stmt_.get()));
}

void Statement::reset() { sqlite3_reset(stmt_.get()); }

std::string_view Statement::bytes(int column) const {
  const auto* data = static_cast<const char*>(sqlite3_column_blob(stmt_.get(), column));
  if (data == nullptr) return {};
  return {data, static_cast<std::size_t>(sqlite3_column_bytes(stmt_.get(), column))};
}

std::string Statement::text(int column) const { return std::string(bytes(column)); }

std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(stmt_.get(), column); }
double Statement::real(int column) const { return sqlite3_column_double(stmt_.get(), column); }
bool Statement::is_null(int column) const { return sqlite3_column_type(stmt_.get(), column) == SQLITE_NULL; }

void Connection::Close::operator()(sqlite3* db) const noexcept { sqlite3_close_v2(db); }

Connection Connection::open(const std::string& path, int flags) {
  sqlite3* raw = nullptr;
  const int opened = sqlite3_open_v2(path.c_str(), &raw, flags, nullptr);
  Connection connection(raw);
  if (raw == nullptr) throw Error("database: cannot start SQLite; is there memory left?");
  if (opened != SQLITE_OK) fail(raw, "open");
  return connection;
}

Connection Connection::over_image(const unsigned char* image, std::size_t size) {
  Connection connection = open(":memory:", SQLITE_OPEN_READWRITE | SQLITE_OPEN_MEMORY);
  sqlite3* raw = connection.handle();
  harden(raw, size);
  // SQLite asks for a writable pointer, and with READONLY never writes through it.
  auto* bytes = const_cast<unsigned char*>(image);
  if (sqlite3_deserialize(raw, "main", bytes, static_cast<sqlite3_int64>(size), static_cast<sqlite3_int64>(size),
                          SQLITE_DESERIALIZE_READONLY) != SQLITE_OK)
    fail(raw, "read the image");
  connection.run("PRAGMA cell_size_check=ON");
  // The image is memory already: its pages are used where they lie.
  connection.run("PRAGMA mmap_size=" + std::to_string(std::max<std::size_t>(size, 268'435'456)));
  return connection;
}

Connection Connection::to_file(const std::string& path) {
  // "./" so that no name is read as anything but a file's.
  Connection connection = open(path.starts_with('/') ? path : "./" + path, SQLITE_OPEN_READWRITE);
  connection.run("PRAGMA journal_mode=OFF");
  connection.run("PRAGMA synchronous=OFF");
  connection.run("PRAGMA locking_mode=EXCLUSIVE");
  return connection;
}

Connection Connection::from_file(const std::string& path) {
  return open(path.starts_with('/') ? path : "./" + path, SQLITE_OPEN_READONLY);
}

void Connection::write_blob(const char* table, const char* column, std::int64_t row, std::string_view bytes) const {
  sqlite3_blob* raw = nullptr;
  if (sqlite3_blob_open(db_.get(), "main", table, column, row, 1, &raw) != SQLITE_OK) fail(db_.get(), "open blob");
  const std::unique_ptr<sqlite3_blob, decltype(&sqlite3_blob_close)> blob(raw, &sqlite3_blob_close);
  if (sqlite3_blob_write(raw, bytes.data(), static_cast<int>(bytes.size()), 0) != SQLITE_OK)
    fail(db_.get(), "write blob");
}

void Connection::run(const std::string& sql) const {
  if (sqlite3_exec(db_.get(), sql.c_str(), nullptr, nullptr, nullptr) != SQLITE_OK) fail(db_.get(), sql);
}

}  // namespace kb
