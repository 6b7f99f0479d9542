// Files that are never half-written.
#include "kb/atomic_file.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <cerrno>

#include "tests/unit/files_for_tests.h"

TEST_CASE("a file holds exactly the bytes it was given and nothing else is left in the folder") {
  const Folder folder;
  const std::string contents[] = {"", "a\n", std::string("a\0b\r\n\xFF", 6),
                                  std::string(5'000'000, 'x'), "shorter again"};
  for (const std::string& bytes : contents) {
    CAPTURE(bytes.size());
    kb::write_file_atomically(folder / "out.txt", bytes);
    CHECK(read(folder / "out.txt") == bytes);
    CHECK(folder.count() == 1);
  }
}

TEST_CASE("odd file names are names like others") {
  const Folder folder;
  for (const std::string& name :
       {std::string("with space"), std::string("-o"), std::string("*?"), std::string("line\nbreak"),
        std::string("\xFF"), std::string(".hidden"), std::string(255, 'n')}) {
    CAPTURE(name);
    kb::write_file_atomically(folder / name, "x");
    CHECK(read(folder / name) == "x");
  }
  CHECK(folder.count() == 7);
}

TEST_CASE("a name without a folder goes to the current folder") {
  const Folder folder;
  const fs::path before = fs::current_path();
  fs::current_path(folder.path());
  kb::write_file_atomically("out.txt", "here");
  fs::current_path(before);
  CHECK(read(folder / "out.txt") == "here");
}

TEST_CASE("an existing file keeps its mode and a new one follows the umask") {
  const Folder folder;
  put(folder / "old", "old");
  for (const mode_t mode : {0600U, 0640U, 0755U, 0666U}) {
    CAPTURE(mode);
    chmod((folder / "old").c_str(), mode);
    kb::write_file_atomically(folder / "old", "new");
    CHECK(mode_of(folder / "old") == mode);
  }
  const mode_t before = umask(027);
  kb::write_file_atomically(folder / "fresh", "new");
  umask(before);
  CHECK(mode_of(folder / "fresh") == 0640);
}

TEST_CASE("another name of the replaced file keeps the old content") {
  const Folder folder;
  put(folder / "out", "old");
  fs::create_hard_link(folder / "out", folder / "other");
  kb::write_file_atomically(folder / "out", "new");
  CHECK(read(folder / "other") == "old");
}

TEST_CASE("a symlink stays and the file behind it is replaced or made") {
  const Folder folder;
  fs::create_directory(folder / "sub");
  put(folder / "sub/real", "old");
  fs::create_symlink("sub/real", folder / "link");
  fs::create_symlink("link", folder / "link-to-link");
  fs::create_symlink("sub/missing", folder / "dangling");

  kb::write_file_atomically(folder / "link-to-link", "new");
  CHECK(fs::is_symlink(folder / "link-to-link"));
  CHECK(fs::is_symlink(folder / "link"));
  CHECK(read(folder / "sub/real") == "new");

  kb::write_file_atomically(folder / "dangling", "made");
  CHECK(fs::is_symlink(folder / "dangling"));
  CHECK(read(folder / "sub/missing") == "made");
}

TEST_CASE("what cannot be written is refused in one line that names the way out") {
  const Folder folder;
  put(folder / "file", "old");
  fs::create_symlink("loop", folder / "loop");
  fs::create_symlink(".", folder / "to-folder");
  const std::string at = "cannot write '" + folder.path().string();
  CHECK(refusal_to_write("") == "cannot write '': it is no file name; name a file with -o");
  CHECK(refusal_to_write(folder.path()) == at + "': Is a directory; name a file in it with -o");
  CHECK(refusal_to_write(folder / "to-folder") ==
        at + "/to-folder': Is a directory; name a file in it with -o");
  CHECK(refusal_to_write(folder / "new/") ==
        at + "/new/': Is a directory; name a file in it with -o");
  CHECK(refusal_to_write(folder / "no/out") ==
        at +
            "/no/out': No such file or directory; make the folder first or choose another with -o");
  CHECK(refusal_to_write(folder / "file/out") ==
        at + "/file/out': Not a directory; choose another folder with -o");
  CHECK(refusal_to_write(folder / "loop") ==
        at + "/loop': Too many levels of symbolic links; choose another folder with -o");
  CHECK(refusal_to_write(folder / "no/\033[2J\n") ==
        at + "/no/\uFFFD[2J\uFFFD': No such file or directory; make the folder first or choose "
             "another with -o");
  CHECK(refusal_to_write(folder / std::string(256, 'n')).find("File name too long") !=
        std::string::npos);
  CHECK(read(folder / "file") == "old");
  CHECK(folder.count() == 3);
}

TEST_CASE("a write that fails half-way leaves the old file and no temporary") {
  const Folder folder;
  put(folder / "out", "old");
  const Ignored too_large(SIGXFSZ);
  rlimit before{};
  getrlimit(RLIMIT_FSIZE, &before);
  rlimit small = before;
  small.rlim_cur = 4096;
  setrlimit(RLIMIT_FSIZE, &small);
  const std::string existing = refusal_to_write(folder / "out", std::string(100'000, 'x'));
  const std::string fresh = refusal_to_write(folder / "fresh", std::string(100'000, 'x'));
  setrlimit(RLIMIT_FSIZE, &before);
  CHECK(existing == "cannot write '" + (folder / "out").string() +
                        "': File too large; choose another folder with -o");
  CHECK(fresh.find("File too large") != std::string::npos);
  CHECK(read(folder / "out") == "old");
  CHECK(folder.count() == 1);
}

TEST_CASE("a full disk leaves the old file and no temporary") {
  const Folder folder;
  if (mount("tmpfs", folder.path().c_str(), "tmpfs", 0, "size=64k") != 0) {
    MESSAGE("skipped: no small file system can be mounted here");
    return;
  }
  put(folder / "out", "old");
  const std::string message = refusal_to_write(folder / "out", std::string(1'000'000, 'x'));
  const std::string kept = read(folder / "out");
  const std::size_t files = folder.count();
  umount2(folder.path().c_str(), MNT_DETACH);
  CHECK(message == "cannot write '" + (folder / "out").string() +
                       "': No space left on device; choose another folder with -o");
  CHECK(kept == "old");
  CHECK(files == 1);
}

TEST_CASE("a write-protected folder or file is refused and left as it was") {
  const Folder folder;
  put(folder / "file", "old");
  const bool root = geteuid() == 0;
  if (root) {
    REQUIRE(chown((folder / "file").c_str(), kNobody, static_cast<gid_t>(-1)) == 0);
    REQUIRE(chown(folder.path().c_str(), kNobody, static_cast<gid_t>(-1)) == 0);
    if (seteuid(kNobody) != 0) {
      MESSAGE("skipped: root cannot step down to another user here");
      return;
    }
  }
  chmod((folder / "file").c_str(), 0400);
  const std::string file = refusal_to_write(folder / "file");
  chmod(folder.path().c_str(), 0500);
  const std::string in_folder = refusal_to_write(folder / "fresh");
  chmod(folder.path().c_str(), 0);
  const std::string closed = refusal_to_write(folder / "fresh");
  if (root) REQUIRE(seteuid(0) == 0);
  chmod(folder.path().c_str(), 0700);

  const std::string at = "cannot write '" + folder.path().string();
  const std::string why = "': Permission denied; choose another folder with -o";
  CHECK(file == at + "/file" + why);
  CHECK(in_folder == at + "/fresh" + why);
  CHECK(closed == at + "/fresh" + why);
  CHECK(read(folder / "file") == "old");
  CHECK(folder.count() == 1);
}

TEST_CASE("a device is written and not replaced") {
  kb::write_file_atomically("/dev/null", "gone");
  CHECK(fs::is_character_file("/dev/null"));
  CHECK(refusal_to_write("/dev/full") ==
        "cannot write '/dev/full': No space left on device; choose another folder with -o");
  CHECK(fs::is_character_file("/dev/full"));
}

TEST_CASE("a named pipe is written and a reader who left is no failure") {
  const Folder folder;
  REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
  const int reader = open((folder / "pipe").c_str(), O_RDONLY | O_NONBLOCK);
  kb::write_file_atomically(folder / "pipe", "through");
  char bytes[16] = {};
  CHECK(read(reader, bytes, sizeof bytes) == 7);
  CHECK(std::string(bytes) == "through");
  close(reader);
  CHECK(fs::is_fifo(folder / "pipe"));

  const Ignored broken(SIGPIPE);
  int ends[2];
  REQUIRE(pipe(ends) == 0);
  close(ends[0]);
  CHECK(refusal_to_write("/dev/fd/" + std::to_string(ends[1])).empty());
  close(ends[1]);
}

TEST_CASE("a file made by somebody else takes its name when it is whole") {
  const Folder folder;
  put(folder / "old", "old");
  fs::permissions(folder / "old", fs::perms::owner_read | fs::perms::owner_write);
  {
    kb::AtomicFile file(folder / "old");
    put(file.path(), "made by ");
    file.append("somebody");
    std::string seen;
    file.read([&](std::string_view part) { seen += part; });
    CHECK(seen == "made by somebody");
    CHECK(read(folder / "old") == "old");
    file.commit([&](const std::string& path) { CHECK(read(path) == "made by somebody"); });
  }
  CHECK(read(folder / "old") == "made by somebody");
  CHECK(mode_of(folder / "old") == 0600);
  CHECK(folder.count() == 1);
}

TEST_CASE("a file that is given up, refused or cannot be leaves the old one") {
  const Folder folder;
  put(folder / "old", "old");
  { kb::AtomicFile(folder / "old").append("new"); }
  CHECK(refusal([&] {
          kb::AtomicFile file(folder / "old");
          file.commit([](const std::string&) { throw kb::Error("no"); });
        }) == "no");
  CHECK(refusal([&] { kb::AtomicFile(folder / "old").refuse("disk full"); }) ==
        "cannot write '" + (folder / "old").string() + "': disk full; choose another folder with -o");
  CHECK(refusal([&] { kb::AtomicFile file(folder.path()); }).find("Is a directory") != std::string::npos);
  CHECK(refusal([&] { kb::AtomicFile file(folder / "no" / "file"); }).find("No such file") != std::string::npos);
  CHECK(refusal([&] { kb::AtomicFile file(""); }).find("no file name") != std::string::npos);
  CHECK(read(folder / "old") == "old");
  CHECK(folder.count() == 1);
}

TEST_CASE("a file made by somebody else can be sent to a descriptor") {
  const Folder folder;
  const int out = open((folder / "out").c_str(), O_WRONLY | O_CREAT, 0600);
  {
    kb::AtomicFile file("/dev/fd/" + std::to_string(out));
    file.append("through");
    file.commit();
  }
  close(out);
  CHECK(read(folder / "out") == "through");
  CHECK(folder.count() == 1);
}

TEST_CASE("a signal while writing ends the program and leaves no temporary") {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
    CAPTURE(signal);
    const Folder folder;
    put(folder / "out", "old");
    const pid_t writer = fork();
    if (writer == 0) {
      std::signal(signal, SIG_DFL);  // The test framework has handlers of its own.
      const std::string bytes(8'000'000, 'x');
      for (;;) kb::write_file_atomically(folder / "out", bytes);
    }
    REQUIRE(writer > 0);
    while (!folder.holds_temporary() && waitpid(writer, nullptr, WNOHANG) == 0) {
    }
    kill(writer, signal);
    int status = 0;
    REQUIRE(waitpid(writer, &status, 0) == writer);
    CHECK(WIFSIGNALED(status));
    CHECK(WTERMSIG(status) == signal);
    CHECK(folder.count() == 1);
    const std::string content = read(folder / "out");
    CHECK((content == "old" || content.size() == 8'000'000));
  }
}

TEST_CASE("signals do afterwards what they did before, and ignored ones stay ignored") {
  const Folder folder;
  const Ignored hangup(SIGHUP);
  struct sigaction before {};
  sigaction(SIGINT, nullptr, &before);
  kb::write_file_atomically(folder / "out", "x");
  CHECK(!refusal_to_write(folder.path()).empty());
  struct sigaction after {};
  sigaction(SIGINT, nullptr, &after);
  CHECK((after.sa_handler == before.sa_handler));
  sigaction(SIGHUP, nullptr, &after);
  CHECK((after.sa_handler == SIG_IGN));
  sigset_t blocked;
  pthread_sigmask(SIG_BLOCK, nullptr, &blocked);
  CHECK(sigismember(&blocked, SIGINT) == 0);
}

TEST_CASE("temporaries of other runs are left alone") {
  const Folder folder;
  const std::string foreign = ".out." + std::to_string(getpid()) + "-0.tmp";
  put(folder / foreign, "theirs");
  kb::write_file_atomically(folder / "out", "ours");
  CHECK(read(folder / foreign) == "theirs");
  CHECK(read(folder / "out") == "ours");
  CHECK(folder.count() == 2);
}
