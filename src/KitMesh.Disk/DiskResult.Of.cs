using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Disk;

/// <summary>How a disk operation that yields a value ended.</summary>
/// <typeparam name="T">The value.</typeparam>
[SuppressMessage("Usage", "CA2225:Operator overloads have named alternates", Justification = "The constructors of a result are its conversions.")]
[SuppressMessage("Performance", "CA1815:Override equals and operator equals on value types", Justification = "Results are looked into, not compared.")]
public readonly struct DiskResult<T>
    where T : notnull
{
    private readonly DiskFault? _fault;
    private readonly T? _value;

    private DiskResult(T? value, DiskFault? fault)
    {
        _value = value;
        _fault = fault;
    }

    /// <summary>The fault, or null after success.</summary>
    public DiskFault? Fault => _fault;

    /// <summary>The value.</summary>
    /// <exception cref="InvalidOperationException">The operation failed.</exception>
    public T Value => _fault is null ? _value! : throw new InvalidOperationException(_fault.ToString());

    /// <summary>Whether it failed, with the fault or the value.</summary>
    /// <param name="fault">What went wrong.</param>
    /// <param name="value">What it yielded.</param>
    public bool Failed([NotNullWhen(true)] out DiskFault? fault, [NotNullWhen(false)] out T? value)
    {
        fault = _fault;
        value = _value;
        return fault is not null;
    }

    /// <summary>A successful operation; needed where the value is typed as an interface, from which C# has no conversions.</summary>
    /// <param name="value">What it yielded.</param>
    public DiskResult(T value)
        : this(value, null)
    {
    }

    /// <summary>A successful operation.</summary>
    /// <param name="value">What it yielded.</param>
    public static implicit operator DiskResult<T>(T value) => new(value, null);

    /// <summary>A failed operation.</summary>
    /// <param name="fault">What went wrong.</param>
    public static implicit operator DiskResult<T>(DiskFault fault) => new(default, fault);

    /// <inheritdoc/>
    public override string ToString() => _fault?.ToString() ?? $"{_value}";
}
