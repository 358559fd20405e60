using System.Text.Json;
using KitMesh.TestKit.Offload;

namespace KitMesh.EndToEnd.Tests.Offload;

/// <summary>Faults that a layer between program and C library makes: single calls fail, single bits flip.</summary>
public sealed class PreloadFaultTests : IDisposable
{
    private const string Source = """
        #define _GNU_SOURCE
        #include <dlfcn.h>
        #include <errno.h>
        #include <stdio.h>
        #include <stdlib.h>
        #include <string.h>
        #include <unistd.h>
        #include <sys/types.h>

        static int hit(const char *call, int fd)
        {
            const char *want = getenv("FAULT_CALL"), *part = getenv("FAULT_PATH");
            char link[64], path[4096];
            if (!want || !part || strcmp(want, call)) return 0;
            snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
            ssize_t n = readlink(link, path, sizeof path - 1);
            if (n < 0) return 0;
            path[n] = 0;
            return strstr(path, part) != NULL;
        }

        static long number(const char *name, long otherwise) { const char *text = getenv(name); return text ? atol(text) : otherwise; }

        ssize_t pread(int fd, void *buffer, size_t count, off_t offset)
        {
            ssize_t (*real)(int, void *, size_t, off_t) = dlsym(RTLD_NEXT, "pread");
            long at = number("FAULT_AT", 0);
            if (hit("pread", fd) && offset <= at && at < offset + (long)count) { errno = number("FAULT_ERRNO", EIO); return -1; }
            ssize_t got = real(fd, buffer, count, offset);
            if (hit("flip", fd) && offset <= at && at < offset + got) ((char *)buffer)[at - offset] ^= 1;
            return got;
        }

        ssize_t pwrite(int fd, const void *buffer, size_t count, off_t offset)
        {
            ssize_t (*real)(int, const void *, size_t, off_t) = dlsym(RTLD_NEXT, "pwrite");
            long at = number("FAULT_AT", 0);
            if (hit("pwrite", fd) && offset <= at && at < offset + (long)count) { errno = number("FAULT_ERRNO", EIO); return -1; }
            return real(fd, buffer, count, offset);
        }

        /* Names below FOLD_PATH as a file system sees them that takes one Unicode form for the other: u + U+0308 is U+00FC. */
        static const char *fold(const char *path, char *into)
        {
            const char *part = getenv("FOLD_PATH");
            if (!part || !path || !strstr(path, part)) return path;
            char *to = into;
            for (const char *from = path; *from && to < into + 4000;)
            {
                if (!strncmp(from, "u\xcc\x88", 3)) { *to++ = '\xc3'; *to++ = '\xbc'; from += 3; }
                else *to++ = *from++;
            }
            *to = 0;
            return into;
        }

        int open(const char *path, int flags, int mode)
        {
            char into[4096];
            int (*real)(const char *, int, int) = dlsym(RTLD_NEXT, "open");
            return real(fold(path, into), flags, mode);
        }

        struct statx;
        int statx(int folder, const char *path, int flags, unsigned mask, struct statx *to)
        {
            char into[4096];
            int (*real)(int, const char *, int, unsigned, struct statx *) = dlsym(RTLD_NEXT, "statx");
            return real(folder, fold(path, into), flags, mask, to);
        }

        int renameat2(int from, const char *old, int to, const char *fresh, unsigned flags)
        {
            char one[4096], other[4096];
            int (*real)(int, const char *, int, const char *, unsigned) = dlsym(RTLD_NEXT, "renameat2");
            return real(from, fold(old, one), to, fold(fresh, other), flags);
        }

        int fsync(int fd)
        {
            int (*real)(int) = dlsym(RTLD_NEXT, "fsync");
            if (hit("fsync", fd)) { errno = number("FAULT_ERRNO", EIO); return -1; }
            return real(fd);
        }

        int syncfs(int fd)
        {
            int (*real)(int) = dlsym(RTLD_NEXT, "syncfs");
            if (hit("syncfs", fd)) { errno = number("FAULT_ERRNO", EIO); return -1; }
            return real(fd);
        }
        """;

    private readonly OffloadStage _stage = new();

    public void Dispose() => _stage.Dispose();

    [Fact]
    public void BadSectorOnTheCard_NamesTheClipWithItsByteAndSavesTheRest()
    {
        _stage.Put("DCIM/C1.mov", 9_000_000, 1);
        _stage.Put("DCIM/C2.mov", 9_000_000, 2);
        _stage.Put("DCIM/C3.mov", 9_000_000, 3);

        JsonElement verdict = Run(1, "pread", "card/DCIM/C2.mov", 5, at: 6_000_000);

        JsonElement bad = verdict.GetProperty("clip")[1];
        Assert.Equal("cardUnreadable", bad.GetProperty("failure").GetString());
        Assert.Contains("5963776", bad.GetProperty("detail").GetString(), StringComparison.Ordinal);
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));
        byte[] clip = OffloadStage.Noise(9_000_000, 2);
        Array.Clear(clip, 5_996_544, 4096);
        foreach (string drive in _stage.Drives)
        {
            string saved = Assert.Single(Directory.GetFiles(Path.Combine(drive, "salvaged"), "C2.mov", SearchOption.AllDirectories));
            Assert.Equal(clip, File.ReadAllBytes(saved));
            Assert.Equal("bytes 5996544 to 6000639 could not be read and are zeros\n", File.ReadAllText(saved + ".holes.txt"));
        }
    }

    [Theory]
    [InlineData(28, "driveFull")]
    [InlineData(5, "writeFailed")]
    [InlineData(27, "writeFailed")]
    public void WriteThatFailsInTheMiddle_LosesThatCopyAndNoOther(int errno, string failure)
    {
        _stage.Put("DCIM/C1.mov", 9_000_000, 1);
        _stage.Put("DCIM/C2.mov", 1000, 2);

        JsonElement verdict = Run(1, "pwrite", "D2/.kitmesh/partial/0", errno, at: 5_000_000);

        JsonElement copies = verdict.GetProperty("clip")[0].GetProperty("copies");
        Assert.Equal("failed", copies[1].GetProperty("state").GetString());
        Assert.Equal(failure, copies[1].GetProperty("failure").GetString());
        Assert.Equal("verified", copies[0].GetProperty("state").GetString());
        Assert.Equal("verified", verdict.GetProperty("clip")[1].GetProperty("copies")[1].GetProperty("state").GetString());
        Assert.Empty(OffloadStage.PartialsOf(_stage.Drives[1]));
    }

    [Theory]
    [InlineData("syncfs", "D2", 12)]
    [InlineData("fsync", "D2/.kitmesh/partial", 1)]
    [InlineData("fsync", "D2/2026-02-11", 5)]
    public void FlushThatFails_IsALostWriteForTheWholeBatch(string call, string path, int files)
    {
        for (int i = 0; i < files; i++)
        {
            _stage.Put($"DCIM/C{i}.mov", 2000, i);
        }

        JsonElement verdict = Run(1, call, path, 5);

        foreach (JsonElement clip in verdict.GetProperty("clip").EnumerateArray())
        {
            Assert.Equal("failed", clip.GetProperty("copies")[1].GetProperty("state").GetString());
            Assert.Equal("verified", clip.GetProperty("copies")[0].GetProperty("state").GetString());
        }

        // And the run after it, on a drive that works again, ends well, with one copy of each.
        (int exit, _, string error) = OffloadProgram.Run(Words());
        Assert.True(exit == 0, error);
        Assert.All(_stage.Drives, drive => Assert.Equal(files, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void BitThatFlipsOnTheWayBack_IsNoProof()
    {
        _stage.Put("DCIM/C1.mov", 9_000_000, 1);

        JsonElement verdict = Run(1, "flip", "D3/2026-02-11", 0, at: 8_999_999);

        Assert.Equal("hashDiffers", verdict.GetProperty("clip")[0].GetProperty("copies")[2].GetProperty("failure").GetString());
        Assert.False(verdict.GetProperty("mayFormat").GetBoolean());
    }

    [Fact]
    public void ReadBackThatFails_IsNoProof()
    {
        _stage.Put("DCIM/C1.mov", 9_000_000, 1);

        JsonElement verdict = Run(1, "pread", "D1/2026-02-11", 5, at: 4_200_000);

        Assert.Equal("readBackFailed", verdict.GetProperty("clip")[0].GetProperty("copies")[0].GetProperty("failure").GetString());
        Assert.Equal(2, verdict.GetProperty("copiesVerified").GetInt32());
    }

    [Fact]
    public void NamesInTwoUnicodeForms_OnADriveThatTakesThemForOne_AreBothKept()
    {
        _stage.Put("DCIM/gr\u00fcn.mov", 5000, 1);
        _stage.Put("DCIM/gru\u0308n.mov", 5000, 2);
        var environment = new Dictionary<string, string> { ["LD_PRELOAD"] = Layer(), ["FOLD_PATH"] = "D2/" };

        (int exit, string output, string error) = OffloadProgram.Run(Words("--json"), environment);

        Assert.True(exit == 0, $"exit {exit}: {error}{output}");
        IReadOnlyDictionary<string, byte[]> files = OffloadStage.FilesOf(_stage.Drives[1]);
        Assert.Equal(2, files.Count);
        Assert.Single(files.Keys, path => path.Contains('~', StringComparison.Ordinal));
        Assert.Single(files.Values, bytes => bytes.AsSpan().SequenceEqual(OffloadStage.Noise(5000, 1)));
        Assert.Single(files.Values, bytes => bytes.AsSpan().SequenceEqual(OffloadStage.Noise(5000, 2)));
        Assert.All((string[])[_stage.Drives[0], _stage.Drives[2]], drive => Assert.DoesNotContain(OffloadStage.FilesOf(drive).Keys, path => path.Contains('~', StringComparison.Ordinal)));

        (exit, output, error) = OffloadProgram.Run(Words("--json"), environment);
        Assert.True(exit == 0, $"exit {exit}: {error}");
        Assert.Equal(2, OffloadStage.FilesOf(_stage.Drives[1]).Count);
        Assert.DoesNotContain("\"state\":\"verified\"", output, StringComparison.Ordinal);
    }

    private JsonElement Run(int exitCode, string call, string path, int errno, long at = 0)
    {
        var environment = new Dictionary<string, string>
        {
            ["LD_PRELOAD"] = Layer(),
            ["FAULT_CALL"] = call,
            ["FAULT_PATH"] = path,
            ["FAULT_ERRNO"] = errno.ToString(System.Globalization.CultureInfo.InvariantCulture),
            ["FAULT_AT"] = at.ToString(System.Globalization.CultureInfo.InvariantCulture),
        };
        (int exit, string output, string error) = OffloadProgram.Run(Words("--json"), environment);
        Assert.True(exit == exitCode, $"exit {exit}: {error}{output}");
        return OffloadProgram.LastLine(output);
    }

    private IEnumerable<string> Words(params string[] more) =>
        ["offload", "--from", _stage.Card, .. _stage.Drives.SelectMany(drive => new[] { "--to", drive }), .. more];

    private string Layer()
    {
        string source = Path.Combine(_stage.Root, "layer.c");
        string library = Path.Combine(_stage.Root, "layer.so");
        File.WriteAllText(source, Source);
        if (OffloadProgram.Other("cc", "-shared", "-fPIC", "-O1", "-o", library, source, "-ldl") is null)
        {
            Assert.Skip("no C compiler to build the fault layer with");
        }

        return library;
    }
}
