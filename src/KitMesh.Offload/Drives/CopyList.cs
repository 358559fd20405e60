using KitMesh.Disk.Media;

namespace KitMesh.Offload.Drives;

/// <summary>
/// The list of proven copies on one drive, kept in a file on it. A copy is in the list only after it was read back; a line
/// that was lost costs a second reading, never a second copy and never belief in a copy that is not good.
/// </summary>
internal sealed class CopyList : IDisposable
{
    private readonly MediaFile _file;
    private readonly Dictionary<string, CopyRecord> _byPath = new(StringComparer.Ordinal);
    private readonly Dictionary<(string CardPath, long Size), List<CopyRecord>> _byCardPath = [];
    private readonly Lock _lock = new();

    // Apart from the other, so that a drive that hangs in a write keeps nobody from looking up what is known.
    private readonly Lock _writing = new();
    private long _end;
    private bool _unflushed;

    private CopyList(MediaFile file) => _file = file;

    /// <summary>Lines that were no sound lines: torn by a power cut, or rotten.</summary>
    public int BadLines { get; private set; }

    /// <summary>Every copy that counts.</summary>
    public IReadOnlyList<CopyRecord> Copies
    {
        get
        {
            lock (_lock)
            {
                return [.. _byPath.Values.OrderBy(copy => copy.Path, StringComparer.Ordinal)];
            }
        }
    }

    /// <summary>Opens the list and reads it.</summary>
    /// <param name="path">The file; made when missing.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    /// <exception cref="IOException">The drive refused.</exception>
    public static CopyList Open(string path)
    {
        var list = new CopyList(MediaFile.OpenOrCreate(path));
        try
        {
            list.Load(File.ReadAllBytes(path));
            return list;
        }
        catch
        {
            list.Dispose();
            throw;
        }
    }

    /// <summary>The copies in a list, without opening it for writing.</summary>
    /// <param name="path">The file.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static IReadOnlyCollection<CopyRecord> Peek(string path)
    {
        Dictionary<string, CopyRecord> copies = new(StringComparer.Ordinal);
        ReadOnlySpan<byte> rest = File.Exists(path) ? File.ReadAllBytes(path) : [];
        while (rest.IndexOf((byte)'\n') is var end and >= 0)
        {
            if (CopyLine.TryRead(rest[..end], out string at, out CopyRecord? record))
            {
                copies.Remove(at);
                if (record is not null)
                {
                    copies.Add(at, record);
                }
            }

            rest = rest[(end + 1)..];
        }

        return copies.Values;
    }

    /// <summary>Copies that may be of a file of a card: same path on the card and same size.</summary>
    /// <param name="cardPath">The path.</param>
    /// <param name="size">Bytes.</param>
    public IReadOnlyList<CopyRecord> Of(string cardPath, long size)
    {
        lock (_lock)
        {
            return _byCardPath.TryGetValue((cardPath, size), out List<CopyRecord>? copies) ? [.. copies] : [];
        }
    }

    /// <summary>The copy at a path of the drive; null when the list has none.</summary>
    /// <param name="path">Path on the drive.</param>
    public CopyRecord? At(string path)
    {
        lock (_lock)
        {
            return _byPath.GetValueOrDefault(path);
        }
    }

    /// <summary>Adds a proven copy. It survives a power cut after the next <see cref="Flush"/>.</summary>
    /// <param name="record">The copy.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public void Add(CopyRecord record)
    {
        byte[] line = CopyLine.Write(record);
        lock (_writing)
        {
            Append(line);
        }

        lock (_lock)
        {
            Take(record.Path, record);
        }
    }

    /// <summary>Notes that a copy counts no more.</summary>
    /// <param name="path">Path on the drive.</param>
    /// <param name="reason">Why.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public void Strike(string path, string reason)
    {
        lock (_writing)
        {
            Append(CopyLine.WriteGone(path, reason));
        }

        lock (_lock)
        {
            Take(path, null);
        }
    }

    /// <summary>Brings the list to the medium.</summary>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public void Flush()
    {
        lock (_writing)
        {
            if (_unflushed)
            {
                _file.Flush();
                _unflushed = false;
            }
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _file.Dispose();

    private void Load(byte[] bytes)
    {
        ReadOnlySpan<byte> rest = bytes;
        while (rest.IndexOf((byte)'\n') is var end and >= 0)
        {
            ReadOnlySpan<byte> line = rest[..end];
            rest = rest[(end + 1)..];
            if (CopyLine.TryRead(line, out string path, out CopyRecord? record))
            {
                Take(path, record);
            }
            else
            {
                BadLines++;
            }
        }

        _end = bytes.Length;
        if (!rest.IsEmpty)
        {
            // A torn last line: end it, so that the next one starts on its own. The file is only ever appended to.
            BadLines++;
            Append("\n"u8);
        }
    }

    private void Append(ReadOnlySpan<byte> line)
    {
        _file.Write(_end, line);
        _end += line.Length;
        _unflushed = true;
    }

    private void Take(string path, CopyRecord? record)
    {
        if (_byPath.Remove(path, out CopyRecord? old))
        {
            _byCardPath[(old.CardPath, old.Size)].Remove(old);
        }

        if (record is not null)
        {
            _byPath[path] = record;
            if (!_byCardPath.TryGetValue((record.CardPath, record.Size), out List<CopyRecord>? same))
            {
                _byCardPath[(record.CardPath, record.Size)] = same = [];
            }

            same.Add(record);
        }
    }
}
