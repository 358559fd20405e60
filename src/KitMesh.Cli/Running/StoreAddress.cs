using KitMesh.Cli.Frame;
using KitMesh.Storage.Postgres;

namespace KitMesh.Cli.Running;

/// <summary>Reads <c>--store</c> and <c>--store-password-file</c>.</summary>
internal static class StoreAddress
{
    /// <summary>The database; null for the embedded store.</summary>
    /// <param name="store">What <c>--store</c> says.</param>
    /// <param name="passwordFile">What <c>--store-password-file</c> says.</param>
    public static PostgresAddress? Of(string? store, string? passwordFile)
    {
        if (store is null)
        {
            return passwordFile is null ? null : throw CommandFault.BadInput("--store-password-file is given, and no database to use it for.", "Name the database with --store.");
        }

        if (!PostgresAddress.IsOne(store))
        {
            throw CommandFault.BadInput("--store names no PostgreSQL database.", "Write it like postgres://hub@db.camp/trip, or leave it out for the embedded store.");
        }

        try
        {
            return PostgresAddress.Parse(store, passwordFile is null ? null : Path.GetFullPath(passwordFile));
        }
        catch (FormatException wrong)
        {
            throw CommandFault.BadInput(wrong.Message, inner: wrong);
        }
    }
}
