namespace KitMesh.Devices.Modbus;

/// <summary>What came of one read. Everything that happens in the field is one of these; nothing throws.</summary>
public abstract record ModbusAnswer
{
    private ModbusAnswer()
    {
    }

    /// <summary>The registers that were asked for.</summary>
    /// <param name="Values">As many as asked.</param>
    public sealed record Registers(IReadOnlyList<ushort> Values) : ModbusAnswer;

    /// <summary>The device answered with an exception.</summary>
    /// <param name="Code">The exception code.</param>
    public sealed record Refused(byte Code) : ModbusAnswer;

    /// <summary>No whole answer within the timeout.</summary>
    /// <param name="Raw">The part that came, if any.</param>
    public sealed record Silent(byte[] Raw) : ModbusAnswer;

    /// <summary>An answer that breaks the protocol.</summary>
    /// <param name="Why">What is wrong with it.</param>
    /// <param name="Raw">Its bytes.</param>
    public sealed record Garbled(string Why, byte[] Raw) : ModbusAnswer;

    /// <summary>The line or address could not be opened, or broke.</summary>
    /// <param name="Why">What the system said.</param>
    public sealed record Unreachable(string Why) : ModbusAnswer;

    /// <summary>The answer in words; null for registers.</summary>
    /// <param name="answer">The answer.</param>
    public static string? Complaint(ModbusAnswer answer) => answer switch
    {
        Registers => null,
        Refused refused => $"The device refused the read: {ExceptionName(refused.Code)}.",
        Silent => "The device did not answer in time.",
        Garbled garbled => $"The answer breaks the protocol: {garbled.Why}.",
        Unreachable unreachable => $"The device cannot be reached: {unreachable.Why}.",
        _ => throw new InvalidOperationException("Not a kind of answer."),
    };

    /// <summary>The bytes that the device sent, for the fault report.</summary>
    /// <param name="answer">The answer.</param>
    public static byte[] RawOf(ModbusAnswer answer) => answer switch
    {
        Silent silent => silent.Raw,
        Garbled garbled => garbled.Raw,
        Refused refused => [refused.Code],
        _ => [],
    };

    // MODBUS Application Protocol Specification V1.1b3, section 7.
    private static string ExceptionName(byte code) => code switch
    {
        1 => "illegal function (1)",
        2 => "illegal data address (2)",
        3 => "illegal data value (3)",
        4 => "server device failure (4)",
        5 => "acknowledge (5)",
        6 => "server device busy (6)",
        8 => "memory parity error (8)",
        10 => "gateway path unavailable (10)",
        11 => "gateway target failed to respond (11)",
        _ => $"exception {code}",
    };
}
