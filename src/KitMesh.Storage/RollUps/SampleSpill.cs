using System.Runtime.InteropServices;

namespace KitMesh.Storage.RollUps;

// Problem: the readings of a season by day, when they come in no order of time and are more than memory holds.
// Method: each day fills a block of memory; a full block goes to the end of one file, and the day remembers where. A day is read back block by block. When more days are
// open than may be, the fullest block goes early. So memory is a block a day, whatever the number of readings; the file holds 32 bytes a reading.
// Check: HourRollUpsTests.

/// <summary>Readings by day in a file of its own, which goes when this is disposed.</summary>
/// <param name="file">The file; must not be there.</param>
/// <param name="mostOpen">The most days with a block in memory.</param>
internal sealed class SampleSpill(string file, int mostOpen = 400) : IDisposable
{
    /// <summary>Readings of one block: 64 KiB.</summary>
    internal const int BlockSamples = 2_048;

    private readonly FileStream _file = new(file, new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.ReadWrite, BufferSize = 0, Options = FileOptions.DeleteOnClose });
    private readonly SortedDictionary<long, Day> _days = [];
    private readonly Stack<RollUpSample[]> _free = new();
    private int _open;
    private long _end;

    /// <summary>The days that hold anything, in order.</summary>
    internal IEnumerable<long> Days => _days.Keys;

    /// <summary>Readings of a day.</summary>
    internal long CountOf(long day) => _days[day].Total;

    internal void Add(long day, RollUpSample sample)
    {
        if (!_days.TryGetValue(day, out Day? into))
        {
            _days.Add(day, into = new Day());
        }

        into.Block ??= Open();
        into.Block[into.Held++] = sample;
        into.Total++;
        if (into.Held == BlockSamples)
        {
            Write(into);
        }
    }

    /// <summary>Everything of a day, in the order in which it was added.</summary>
    internal IEnumerable<RollUpSample[]> Read(long day)
    {
        Day of = _days[day];
        foreach ((long at, int count) in of.Written)
        {
            var block = new RollUpSample[count];
            Fill(block, at);
            yield return block;
        }

        if (of.Block is { } open)
        {
            yield return open[..of.Held];
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _file.Dispose();

    private RollUpSample[] Open()
    {
        if (_open == mostOpen)
        {
            Write(_days.Values.Where(day => day.Block is not null).MaxBy(day => day.Held)!);
        }

        _open++;
        return _free.TryPop(out RollUpSample[]? block) ? block : new RollUpSample[BlockSamples];
    }

    private void Write(Day day)
    {
        RandomAccess.Write(_file.SafeFileHandle, MemoryMarshal.AsBytes(day.Block.AsSpan(0, day.Held)), _end);
        day.Written.Add((_end, day.Held));
        _end += (long)day.Held * Marshal.SizeOf<RollUpSample>();
        _free.Push(day.Block!);
        (day.Block, day.Held) = (null, 0);
        _open--;
    }

    private void Fill(RollUpSample[] block, long at)
    {
        Span<byte> bytes = MemoryMarshal.AsBytes(block.AsSpan());
        for (int got = 0; got < bytes.Length;)
        {
            int read = RandomAccess.Read(_file.SafeFileHandle, bytes[got..], at + got);
            got += read > 0 ? read : throw new EndOfStreamException($"{file} is shorter than what was written to it.");
        }
    }

    private sealed class Day
    {
        internal RollUpSample[]? Block { get; set; }

        internal int Held { get; set; }

        internal long Total { get; set; }

        internal List<(long At, int Count)> Written { get; } = [];
    }
}
