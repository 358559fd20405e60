using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>One value of one series.</summary>
/// <param name="TimeNanoseconds">When.</param>
/// <param name="Key">Which report said so.</param>
/// <param name="Units">The value as a fixed-point number.</param>
/// <remarks>
/// Two forks share a key, and then the value decides: any rule will do as long as it does not depend on which came first.
/// </remarks>
internal readonly record struct Sample(long TimeNanoseconds, ReportKey Key, long Units) : IComparable<Sample>
{
    public int CompareTo(Sample other)
    {
        int order = TimeNanoseconds.CompareTo(other.TimeNanoseconds);
        order = order != 0 ? order : Key.CompareTo(other.Key);
        return order != 0 ? order : Units.CompareTo(other.Units);
    }
}
