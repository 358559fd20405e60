namespace KitMesh.Storage.Postgres;

/// <summary>Unsigned numbers in signed columns: the top bit turned over, so that both sort alike.</summary>
internal static class PostgresNumber
{
    private const ulong Top = 1UL << 63;

    /// <summary>For the database.</summary>
    public static long Signed(ulong value) => unchecked((long)(value ^ Top));

    /// <summary>From the database.</summary>
    public static ulong Unsigned(long value) => unchecked((ulong)value ^ Top);
}
