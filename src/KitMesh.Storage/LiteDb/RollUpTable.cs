using KitMesh.Protocol;
using System.Buffers.Binary;
using KitMesh.Storage.RollUps;
using ZstdSharp;

namespace KitMesh.Storage.LiteDb;

/// <summary>Blocks of roll-ups on disk, the busy ones in memory.</summary>
internal sealed class RollUpTable(LiteDbTables tables, Decompressor decompressor, long holdLimit)
{
    /// <summary>Blocks kept in memory between transactions: about 3 KB each.</summary>
    private const int MaxKept = 4_096;

    private readonly Dictionary<BlockKey, BucketBlock> _kept = [];

    /// <summary>The buckets of a series, to add to or rebuild.</summary>
    public RollUpBuckets Of(Series series) => new((span, block) => Block(new BlockKey(series.Number, span, block)), holdLimit);

    /// <summary>
    /// The buckets of a series, to add later readings to. Nothing is known after its last reading, so blocks that begin after
    /// it are made without asking the database.
    /// </summary>
    public RollUpBuckets ToAppend(Series series)
    {
        long? last = series.Last?.TimeNanoseconds;
        return new((span, block) => Block(new BlockKey(series.Number, span, block), isNew: last is not { } time || BucketPlace.Of(span, BucketPlace.NumberOf(span, time)).Block < block), holdLimit);
    }

    /// <summary>Writes what changed, and forgets blocks when there are too many.</summary>
    public void Save()
    {
        foreach ((BlockKey key, BucketBlock block) in _kept)
        {
            if (block.IsChanged)
            {
                tables.Put(Table.RollUps, key.ToBytes(), block.Encode());
                block.IsChanged = false;
            }
        }

        if (_kept.Count > MaxKept)
        {
            // The busy blocks are back with the next write; a finer choice would cost more than it saves.
            _kept.Clear();
        }
    }

    /// <summary>The roll-ups of a series whose buckets overlap a span of time.</summary>
    public List<RollUp> Read(Series series, RollUpSpan span, long from, long until)
    {
        var found = new List<RollUp>();
        if (from >= until)
        {
            return found;
        }

        long first = BucketPlace.NumberOf(span, from);
        long last = BucketPlace.NumberOf(span, until - 1);
        byte[] low = new BlockKey(series.Number, span, BucketPlace.Of(span, first).Block).ToBytes();
        byte[] high = new BlockKey(series.Number, span, BucketPlace.Of(span, last).Block).ToBytes();
        foreach ((byte[] key, byte[] stored) in tables.Between(Table.RollUps, low, high))
        {
            BucketBlock block = BucketBlock.Decode(span, stored, decompressor);
            long firstOfBlock = BlockKey.Read(key).Block * BucketBlock.SlotsOf(span);
            for (int slot = 0; slot < block.Slots.Count; slot++)
            {
                long number = firstOfBlock + slot;
                if (block.Slots[slot] is { } bucket && number >= first && number <= last)
                {
                    found.Add(bucket.Show(series.Key.Quantity, span, number));
                }
            }
        }

        return found;
    }

    private BucketBlock Block(BlockKey key, bool isNew = false)
    {
        if (!_kept.TryGetValue(key, out BucketBlock? block))
        {
            byte[]? stored = isNew ? null : tables.Get(Table.RollUps, key.ToBytes());
            block = stored is null ? new BucketBlock(key.Span) : BucketBlock.Decode(key.Span, stored, decompressor);
            _kept.Add(key, block);
        }

        return block;
    }

    private readonly record struct BlockKey(int Series, RollUpSpan Span, long Block)
    {
        public byte[] ToBytes()
        {
            byte[] key = new byte[13];
            BinaryPrimitives.WriteInt32BigEndian(key, Series);
            key[4] = (byte)Span;
            // The sign bit turned over makes the byte order the order of the numbers, before 1970 too.
            BinaryPrimitives.WriteUInt64BigEndian(key.AsSpan(5), (ulong)Block ^ (1UL << 63));
            return key;
        }

        public static BlockKey Read(ReadOnlySpan<byte> key) => new(
            BinaryPrimitives.ReadInt32BigEndian(key),
            (RollUpSpan)key[4],
            (long)(BinaryPrimitives.ReadUInt64BigEndian(key[5..]) ^ (1UL << 63)));
    }
}
