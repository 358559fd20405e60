namespace KitMesh.Domain.Time;

/// <summary>Names one boot of one device: monotonic times compare only inside it.</summary>
/// <param name="Value">64 random bits, drawn or read from the system at start.</param>
public readonly record struct BootId(ulong Value)
{
    /// <summary>The id as 16 hexadecimal digits.</summary>
    public override string ToString() => Value.ToString("x16", System.Globalization.CultureInfo.InvariantCulture);
}
