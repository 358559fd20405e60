using System.IO.Hashing;
using System.Text;

namespace KitMesh.Devices.Following;

// Problem: a logger appends lines to a file, now and then starts a new file under the old name, or empties it.
// Traps: the last line may be half written; a new file may be longer than the old one was; after a restart nobody
// remembers what was read; the tail of a renamed file would be lost.
// Method: keep the file open, so that a renamed file is drained to its end; remember the offset after the last whole
// line together with a hash of the file's beginning. A file is another one when it is shorter than the offset or begins
// differently; then reading starts at 0.

/// <summary>Gives the whole lines that were added to a file since the last look.</summary>
internal sealed class FollowedFile : IDisposable
{
    /// <summary>Longer lines are no log lines: they are skipped and counted.</summary>
    public const int MaxLine = 64 * 1024;

    private const int BeginningLength = 1024;

    private readonly string _path;
    private readonly byte[] _buffer = new byte[MaxLine];
    private FileStream? _stream;
    private int _filled;
    private bool _skipping;

    /// <summary>Follows a file from a remembered place.</summary>
    public FollowedFile(string path, FilePlace place)
    {
        _path = path;
        Place = place;
    }

    /// <summary>Where the next line begins; to be remembered once the lines before it are safe.</summary>
    public FilePlace Place { get; private set; }

    /// <summary>How often the file was exchanged or emptied.</summary>
    public int Restarts { get; private set; }

    /// <summary>Lines that were too long to be read.</summary>
    public int TooLong { get; private set; }

    /// <summary>The lines added since the last look, at most so many, all of one file; each with the place after it.</summary>
    /// <exception cref="IOException">The file cannot be read.</exception>
    public IReadOnlyList<(string Line, FilePlace After)> Look(int most)
    {
        var lines = new List<(string Line, FilePlace After)>();
        if (_stream is null && !Open())
        {
            return lines;
        }

        Drain(lines, most);
        if (lines.Count == 0 && WasExchanged())
        {
            Close();
            Restarts++;
            Place = FilePlace.Start;
            if (Open())
            {
                Drain(lines, most);
            }
        }

        return lines;
    }

    /// <inheritdoc/>
    public void Dispose() => Close();

    private bool Open()
    {
        if (!File.Exists(_path))
        {
            return false;
        }

        _stream = new FileStream(_path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, bufferSize: 1);
        if (!BeginsAs(_stream, Place))
        {
            Restarts++;
            Place = FilePlace.Start;
        }

        _stream.Position = Place.Offset;
        _filled = 0;
        _skipping = false;
        return true;
    }

    private void Drain(List<(string Line, FilePlace After)> lines, int most)
    {
        // What lies past the last whole line stays in the buffer over the calls.
        while (lines.Count < most)
        {
            if (TakeLines(lines, most))
            {
                continue;
            }

            if (_filled == _buffer.Length)
            {
                Place = Place with { Offset = Place.Offset + _filled };
                TooLong += _skipping ? 0 : 1;
                _skipping = true;
                _filled = 0;
            }

            int got = _stream!.Read(_buffer, _filled, _buffer.Length - _filled);
            if (got == 0)
            {
                return;
            }

            _filled += got;
        }
    }

    private bool TakeLines(List<(string Line, FilePlace After)> lines, int most)
    {
        int start = 0;
        int end;
        while (lines.Count < most && (end = _buffer.AsSpan(start, _filled - start).IndexOf((byte)'\n')) >= 0)
        {
            string line = Encoding.UTF8.GetString(_buffer, start, end).TrimEnd('\r');
            start += end + 1;
            Place = Grown(Place.Offset + end + 1);
            if (!_skipping)
            {
                lines.Add((line, Place));
            }

            _skipping = false;
        }

        _buffer.AsSpan(start, _filled - start).CopyTo(_buffer);
        _filled -= start;
        return start > 0;
    }

    // The remembered beginning grows with the file until it is long enough to tell files apart.
    private FilePlace Grown(long offset)
    {
        if (Place.BeginningLength >= BeginningLength)
        {
            return Place with { Offset = offset };
        }

        int length = (int)Math.Min(offset, BeginningLength);
        return new FilePlace(offset, length, HashOfBeginning(_stream!, length));
    }

    private bool WasExchanged()
    {
        try
        {
            using var now = new FileStream(_path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, bufferSize: 1);
            return !BeginsAs(now, Place) || now.Length < _stream!.Length;
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            // Renamed and not yet made anew: the old one is drained, the new one will be seen when it is there.
            return false;
        }
    }

    private static bool BeginsAs(FileStream stream, FilePlace place) =>
        stream.Length >= place.Offset && HashOfBeginning(stream, place.BeginningLength) == place.BeginningHash;

    private static ulong HashOfBeginning(FileStream stream, int length)
    {
        Span<byte> beginning = stackalloc byte[BeginningLength];
        int got = RandomAccess.Read(stream.SafeFileHandle, beginning[..length], 0);
        return XxHash3.HashToUInt64(beginning[..got]);
    }

    private void Close()
    {
        _stream?.Dispose();
        _stream = null;
        _filled = 0;
    }
}
