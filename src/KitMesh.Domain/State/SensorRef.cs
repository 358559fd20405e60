using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Names one thermometer of one thing.</summary>
/// <param name="Subject">The thing.</param>
/// <param name="Sensor">The thermometer.</param>
public readonly record struct SensorRef(KitId Subject, string Sensor) : IComparable<SensorRef>
{
    /// <inheritdoc/>
    public int CompareTo(SensorRef other)
    {
        int bySubject = Subject.CompareTo(other.Subject);
        return bySubject != 0 ? bySubject : string.CompareOrdinal(Sensor, other.Sensor);
    }
}
