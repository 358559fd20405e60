using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>One bucket in the making. All numbers are integers, so that every order of additions gives the same bucket.</summary>
internal sealed class Bucket
{
    /// <summary>Readings inside it.</summary>
    public int Samples { get; private set; }

    /// <summary>The least value, in fixed-point units.</summary>
    public long Min { get; private set; } = long.MaxValue;

    /// <summary>The greatest value.</summary>
    public long Max { get; private set; } = long.MinValue;

    /// <summary>The value at the end.</summary>
    public long Last { get; private set; }

    /// <summary>Nanoseconds for which a value was known.</summary>
    public long Known { get; private set; }

    /// <summary>Units times nanoseconds.</summary>
    public Int128 Weighted { get; private set; }

    /// <summary>Whether nothing is known.</summary>
    public bool IsEmpty => Samples == 0 && Known == 0;

    /// <summary>A bucket from its stored numbers.</summary>
    public static Bucket From(int samples, long min, long max, long last, long known, Int128 weighted) =>
        new() { Samples = samples, Min = min, Max = max, Last = last, Known = known, Weighted = weighted };

    /// <summary>A reading falls into the bucket, later than all before it.</summary>
    public void Read(long units)
    {
        Samples++;
        See(units);
    }

    /// <summary>A value held for a while inside the bucket, later than all before it.</summary>
    public void Hold(long units, long nanoseconds)
    {
        Known += nanoseconds;
        Weighted += (Int128)units * nanoseconds;
        See(units);
    }

    /// <summary>A shorter bucket, later than all before it, is part of this one.</summary>
    public void Take(Bucket part)
    {
        Samples += part.Samples;
        Known += part.Known;
        Weighted += part.Weighted;
        Min = Math.Min(Min, part.Min);
        Max = Math.Max(Max, part.Max);
        Last = part.Last;
    }

    /// <summary>What an answer says of it.</summary>
    public RollUp Show(SeriesQuantity quantity, RollUpSpan span, long number)
    {
        double mean = Known > 0 ? (double)Weighted / Known : Last;
        return new RollUp(
            Protocol.Nanoseconds.ToInstant(number * BucketPlace.LengthOf(span)),
            span,
            Samples,
            SeriesScale.Value(quantity, Min),
            SeriesScale.Value(quantity, mean),
            SeriesScale.Value(quantity, Max),
            SeriesScale.Value(quantity, Last),
            NodaTime.Duration.FromNanoseconds(Known));
    }

    private void See(long units)
    {
        Min = Math.Min(Min, units);
        Max = Math.Max(Max, units);
        Last = units;
    }
}
