namespace KitMesh.Outlook.Energy;

/// <summary>Counts of values between two bounds, from which quantiles are read without sorting. Order of counting does not matter.</summary>
internal sealed class Histogram
{
    private readonly int[] _counts;
    private readonly double _low;
    private readonly double _scale;
    private int _total;

    internal Histogram(double low, double high, int bins = 512)
    {
        _counts = new int[bins];
        _low = low;
        double width = high - low;
        _scale = width > 0 ? bins / width : 0;
    }

    internal int Total => _total;

    internal void Add(double value)
    {
        int bin = (int)((value - _low) * _scale);
        _counts[bin < 0 ? 0 : bin >= _counts.Length ? _counts.Length - 1 : bin]++;
        _total++;
    }

    /// <summary>The value that a share of the counts lies below, linear inside a bin.</summary>
    internal double Quantile(double share)
    {
        if (_total == 0 || _scale == 0)
        {
            return _low;
        }

        double target = share * _total;
        double seen = 0;
        for (int i = 0; i < _counts.Length; i++)
        {
            if (_counts[i] > 0 && seen + _counts[i] >= target)
            {
                return _low + ((i + ((target - seen) / _counts[i])) / _scale);
            }

            seen += _counts[i];
        }

        return _low + (_counts.Length / _scale);
    }

    /// <summary>Share of the counts above a value, to the width of a bin.</summary>
    internal double ShareAbove(double value)
    {
        if (_total == 0)
        {
            return 0;
        }

        int from = Math.Clamp((int)Math.Ceiling((value - _low) * _scale), 0, _counts.Length);
        int above = 0;
        for (int i = from; i < _counts.Length; i++)
        {
            above += _counts[i];
        }

        return above / (double)_total;
    }

    internal double Mean()
    {
        double sum = 0;
        for (int i = 0; i < _counts.Length; i++)
        {
            sum += _counts[i] * (i + 0.5);
        }

        return _total == 0 || _scale == 0 ? _low : _low + (sum / _total / _scale);
    }
}
