namespace KitMesh.Storage.RollUps;

/// <summary>The buckets of one series, to add to or to rebuild.</summary>
/// <remarks>
/// Problem: an agent with a deadband reports when something changes, so a mean over readings overrates restless hours.
/// Trap: a mean over time needs to know how long a value held, and that is known only when the next reading comes, perhaps
/// never, perhaps late and out of order. Method: sample and hold. A value holds from its reading to the next reading of the
/// series, at most for the hold limit; the very last reading holds for no time yet. Every contribution is (units,
/// nanoseconds) in integers, cut at the bucket borders, so the three spans agree to the last digit and the order of
/// additions cannot matter. Source: the definition of the time-weighted mean; the hold limit is ours.
/// </remarks>
internal sealed class RollUpBuckets(Func<RollUpSpan, long, BucketBlock> block, long holdLimit)
{
    /// <summary>
    /// Times past this are left out of roll-ups, so that no sum can overflow: 146 years before and after 1970. A clock that
    /// is off by more says nothing about when something was.
    /// </summary>
    public const long FarthestTime = long.MaxValue / 2;

    private static readonly RollUpSpan[] Spans = Enum.GetValues<RollUpSpan>();

    // Readings come in order, so the block asked for is nearly always the one asked for before.
    private readonly (long Number, BucketBlock? Block)[] _recent = new (long, BucketBlock?)[Spans.Length];

    /// <summary>Adds a reading that is later than all others of its series.</summary>
    public void Append(Sample? before, Sample sample)
    {
        if (before is { } previous)
        {
            long until = EndOfHold(previous, sample);
            foreach (RollUpSpan span in Spans)
            {
                Hold(span, previous.Units, previous.TimeNanoseconds, until);
            }
        }

        foreach (RollUpSpan span in Spans)
        {
            Touch(span, BucketPlace.NumberOf(span, sample.TimeNanoseconds)).Read(sample.Units);
        }
    }

    /// <summary>Rebuilds all minutes from one to another, and the hours and days around them.</summary>
    /// <param name="firstMinute">Number of the first minute.</param>
    /// <param name="lastMinute">Number of the last minute, included.</param>
    /// <param name="samples">
    /// The readings of the series, in order, from one hold limit before the first minute to the end of the last.
    /// </param>
    /// <param name="last">The last reading of the whole series.</param>
    public void Rebuild(long firstMinute, long lastMinute, IReadOnlyList<Sample> samples, Sample last)
    {
        long from = firstMinute * BucketPlace.LengthOf(RollUpSpan.Minute);
        long until = (lastMinute + 1) * BucketPlace.LengthOf(RollUpSpan.Minute);
        for (long minute = firstMinute; minute <= lastMinute; minute++)
        {
            Replace(RollUpSpan.Minute, minute, null);
        }

        for (int i = 0; i < samples.Count; i++)
        {
            Sample sample = samples[i];
            if (sample.TimeNanoseconds >= from && sample.TimeNanoseconds < until)
            {
                Touch(RollUpSpan.Minute, BucketPlace.NumberOf(RollUpSpan.Minute, sample.TimeNanoseconds)).Read(sample.Units);
            }

            if (sample != last)
            {
                long held = i + 1 < samples.Count ? EndOfHold(sample, samples[i + 1]) : EndOfHold(sample);
                Hold(RollUpSpan.Minute, sample.Units, Math.Max(from, sample.TimeNanoseconds), Math.Min(until, held));
            }
        }

        RebuildFrom(RollUpSpan.Minute, RollUpSpan.Hour, from, until - 1);
        RebuildFrom(RollUpSpan.Hour, RollUpSpan.Day, from, until - 1);
    }

    private long EndOfHold(Sample sample, Sample next) => Math.Min(next.TimeNanoseconds, EndOfHold(sample));

    private long EndOfHold(Sample sample) => sample.TimeNanoseconds + holdLimit;

    private void Hold(RollUpSpan span, long units, long from, long until)
    {
        long length = BucketPlace.LengthOf(span);
        while (from < until)
        {
            long number = BucketPlace.NumberOf(span, from);
            long end = Math.Min(until, (number + 1) * length);
            Touch(span, number).Hold(units, end - from);
            from = end;
        }
    }

    private void RebuildFrom(RollUpSpan parts, RollUpSpan span, long from, long last)
    {
        long perBucket = BucketPlace.LengthOf(span) / BucketPlace.LengthOf(parts);
        for (long number = BucketPlace.NumberOf(span, from); number <= BucketPlace.NumberOf(span, last); number++)
        {
            var whole = new Bucket();
            for (long part = number * perBucket; part < (number + 1) * perBucket; part++)
            {
                BucketPlace place = BucketPlace.Of(parts, part);
                if (BlockOf(parts, place.Block).Slots[place.Slot] is { } bucket)
                {
                    whole.Take(bucket);
                }
            }

            Replace(span, number, whole);
        }
    }

    private Bucket Touch(RollUpSpan span, long number)
    {
        BucketPlace place = BucketPlace.Of(span, number);
        return BlockOf(span, place.Block).Touch(place.Slot);
    }

    private void Replace(RollUpSpan span, long number, Bucket? bucket)
    {
        BucketPlace place = BucketPlace.Of(span, number);
        BlockOf(span, place.Block).Replace(place.Slot, bucket);
    }

    private BucketBlock BlockOf(RollUpSpan span, long number)
    {
        ref (long Number, BucketBlock? Block) recent = ref _recent[(int)span];
        if (recent.Block is null || recent.Number != number)
        {
            recent = (number, block(span, number));
        }

        return recent.Block!;
    }
}
