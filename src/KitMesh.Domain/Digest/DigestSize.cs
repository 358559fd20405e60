namespace KitMesh.Domain.Digest;

/// <summary>How long a line may be. Every symbol is one byte, one GSM-7 septet and one keystroke.</summary>
public enum DigestSize
{
    /// <summary>51: the payload of a long-range radio frame at its slowest rate (LoRaWAN EU868 DR0, regional parameters RP002-1.0).</summary>
    Radio51 = 51,

    /// <summary>140: the octets of one short message sent as data (3GPP TS 23.040).</summary>
    Data140 = 140,

    /// <summary>160: the characters of one short message in the GSM 7 bit alphabet (3GPP TS 23.038).</summary>
    Text160 = 160,

    /// <summary>340: a small satellite modem's message.</summary>
    Satellite340 = 340,
}
