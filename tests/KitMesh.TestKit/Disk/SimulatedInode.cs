namespace KitMesh.TestKit.Disk;

/// <summary>One file of a simulated disk: what programs see, and what the medium holds.</summary>
internal sealed class SimulatedInode
{
    internal const int PageBytes = 4096;

    private readonly SortedSet<int> _dirty = [];
    private byte[] _seen = [];
    private byte[] _medium = [];
    private int _mediumLength;

    internal int Length { get; private set; }

    internal long ModifiedUnixNanoseconds { get; set; }

    internal bool IsDirty => _dirty.Count > 0 || _mediumLength != Length;

    internal int Read(long offset, Span<byte> into)
    {
        int count = (int)Math.Clamp(Length - offset, 0, into.Length);
        if (count > 0)
        {
            _seen.AsSpan((int)offset, count).CopyTo(into);
        }

        return count;
    }

    internal void Write(long offset, ReadOnlySpan<byte> bytes)
    {
        if (bytes.IsEmpty)
        {
            return;
        }

        int end = (int)offset + bytes.Length;
        SetLength(Math.Max(Length, end));
        bytes.CopyTo(_seen.AsSpan((int)offset));
        for (int page = (int)offset / PageBytes; page <= (end - 1) / PageBytes; page++)
        {
            _dirty.Add(page);
        }
    }

    internal void SetLength(int length)
    {
        Grow(ref _seen, length);
        if (length < Length)
        {
            _seen.AsSpan(length, Length - length).Clear();
            _dirty.Add(length / PageBytes);
        }

        Length = length;
    }

    internal void Sync() => Settle(_ => true, takeLength: true);

    /// <summary>A sync that failed: some pages arrived, the others count as clean all the same.</summary>
    internal void FailSync(SeededRandom random, bool showsLostPages)
    {
        Settle(_ => random.OneIn(2), takeLength: random.OneIn(2));
        if (!showsLostPages)
        {
            ShowMedium();
        }
    }

    internal void Cut(SeededRandom random, CutOutcome outcome)
    {
        if (outcome == CutOutcome.Anything)
        {
            Settle(_ => random.OneIn(2), takeLength: random.OneIn(2));
        }
        else if (outcome == CutOutcome.Everything)
        {
            Sync();
        }

        ShowMedium();
    }

    internal SimulatedInode CopyOfMedium()
    {
        var copy = new SimulatedInode { ModifiedUnixNanoseconds = ModifiedUnixNanoseconds };
        copy.Write(0, _medium.AsSpan(0, _mediumLength));
        copy.Sync();
        return copy;
    }

    internal void FlipBit(long bit)
    {
        int at = (int)(bit / 8);
        byte mask = (byte)(1 << (int)(bit % 8));
        _seen[at] ^= mask;
        if (at < _mediumLength)
        {
            _medium[at] ^= mask;
        }
    }

    private static void Grow(ref byte[] bytes, int length)
    {
        if (bytes.Length < length)
        {
            Array.Resize(ref bytes, Math.Max(length, Math.Max(PageBytes, bytes.Length * 2)));
        }
    }

    private void Settle(Func<int, bool> arrives, bool takeLength)
    {
        if (takeLength)
        {
            Grow(ref _medium, Length);
            if (Length < _mediumLength)
            {
                _medium.AsSpan(Length, _mediumLength - Length).Clear();
            }

            _mediumLength = Length;
        }

        foreach (int page in _dirty.Where(arrives))
        {
            int from = page * PageBytes;
            int count = Math.Min(PageBytes, Math.Min(_mediumLength, Length) - from);
            if (count > 0)
            {
                _seen.AsSpan(from, count).CopyTo(_medium.AsSpan(from));
            }
        }

        _dirty.Clear();
    }

    private void ShowMedium()
    {
        _seen = _medium.AsSpan(0, _mediumLength).ToArray();
        Length = _mediumLength;
        _dirty.Clear();
    }
}
