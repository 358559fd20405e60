using KitMesh.Storage.Segments;
using ZstdSharp;

namespace KitMesh.Storage.RollUps;

/// <summary>Neighbouring buckets of one series and span that are stored together: 60 minutes, 24 hours or 32 days.</summary>
internal sealed class BucketBlock
{
    private const int NumbersPerBucket = 8;
    private readonly Bucket?[] _slots;

    public BucketBlock(RollUpSpan span) => _slots = new Bucket?[SlotsOf(span)];

    /// <summary>Whether it differs from what is stored.</summary>
    public bool IsChanged { get; set; }

    /// <summary>The buckets by slot.</summary>
    public IReadOnlyList<Bucket?> Slots => _slots;

    /// <summary>Buckets in a block.</summary>
    public static int SlotsOf(RollUpSpan span) => span switch
    {
        RollUpSpan.Minute => 60,
        RollUpSpan.Hour => 24,
        RollUpSpan.Day => 32,
        _ => throw new ArgumentOutOfRangeException(nameof(span), span, "There is no such span."),
    };

    /// <summary>The bucket of a slot, to change it.</summary>
    public Bucket Touch(int slot)
    {
        IsChanged = true;
        return _slots[slot] ??= new Bucket();
    }

    /// <summary>Empties a slot, or puts a rebuilt bucket into it.</summary>
    public void Replace(int slot, Bucket? bucket)
    {
        IsChanged = true;
        _slots[slot] = bucket is { IsEmpty: false } ? bucket : null;
    }

    /// <summary>Encodes the block.</summary>
    public byte[] Encode()
    {
        int filled = _slots.Count(bucket => bucket is not null);
        var writer = new ColumnWriter(ColumnWriter.MaxNumber * (1 + (filled * NumbersPerBucket)));
        writer.Number((ulong)filled);
        for (int slot = 0; slot < _slots.Length; slot++)
        {
            if (_slots[slot] is not { } bucket)
            {
                continue;
            }

            writer.Number((ulong)slot);
            writer.Number((ulong)bucket.Samples);
            writer.Signed(bucket.Min);
            writer.Number(unchecked((ulong)(bucket.Max - bucket.Min)));
            writer.Number(unchecked((ulong)(bucket.Last - bucket.Min)));
            writer.Number((ulong)bucket.Known);
            writer.Signed((long)(bucket.Weighted >> 64));
            writer.Number((ulong)bucket.Weighted);
        }

        return SegmentFormat.Seal(writer.Written, null);
    }

    /// <summary>Decodes a block.</summary>
    /// <exception cref="InvalidDataException">These are not the bytes that were written.</exception>
    public static BucketBlock Decode(RollUpSpan span, byte[] stored, Decompressor decompressor)
    {
        var block = new BucketBlock(span);
        var reader = new ColumnReader(SegmentFormat.Open(stored, decompressor));
        int count = (int)reader.Number();
        for (int i = 0; i < count; i++)
        {
            int slot = (int)reader.Number();
            int samples = (int)reader.Number();
            long min = reader.Signed();
            long max = unchecked(min + (long)reader.Number());
            long last = unchecked(min + (long)reader.Number());
            long known = (long)reader.Number();
            Int128 weighted = new((ulong)reader.Signed(), reader.Number());
            if (slot >= block._slots.Length)
            {
                throw new InvalidDataException("A stored roll-up stands outside its block.");
            }

            block._slots[slot] = Bucket.From(samples, min, max, last, known, weighted);
        }

        return block;
    }
}
